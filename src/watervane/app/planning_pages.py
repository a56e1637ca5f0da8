"""Plan a tank and its water together, hand the plan over as a file, and start the tank."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from watervane.app.blueprint_ports import BlueprintRequest, Words
from watervane.app.keeping import KeptWrite
from watervane.app.own_animals import own_of_keeper
from watervane.app.ports import BadInput, Ports
from watervane.app.setting_up import adopt_tank
from watervane.records import (
    Blueprint,
    Choice,
    Finding,
    KeptTank,
    OwnAnimal,
    Person,
    SourcePlan,
    SourceWater,
    Tank,
)
from watervane.reference import own_catalogued

OF_WATER = ("tap", "want", "membrane", "rain", "rain-report", "salt", "bucket", "scale",
            "hour-worth")  # fmt: skip

BESIDE_IONS = ("chlorine", "chloramine", "nitrate", "ph")


@dataclass(frozen=True, slots=True)
class KnownTap:
    """A tap that was told of for tanks of the keeper; ``key`` is that of the first of them."""

    key: str
    tanks: tuple[str, ...]
    water: SourceWater


def known_taps(actor: Person, ports: Ports) -> tuple[KnownTap, ...]:
    """The taps of the actor's tanks, each once."""
    found: dict[SourceWater, list[KeptTank]] = {}
    with ports.journal.open() as journal, journal.looking(actor) as view:
        for tank in view.tanks():
            water = view.description(tank.key).source_water
            if water != SourceWater():
                found.setdefault(water, []).append(tank)
    return tuple(
        KnownTap(tanks[0].key, tuple(each.name for each in tanks), water)
        for water, tanks in found.items()
    )


@dataclass(frozen=True, slots=True)
class PlannedTogether:
    """A plan, its water and its animals, as far as each could be worked out.

    Beside each stands what was in its way. Who can live together is asked where kinds are named,
    and the plan is for those alone.
    """

    blueprint: Blueprint | None = None
    water: SourcePlan | None = None
    choice: Choice | None = None
    wrong: tuple[Finding, ...] = ()
    water_wrong: tuple[Finding, ...] = ()
    choice_wrong: tuple[Finding, ...] = ()


def plan_together(actor: Person, words: Words, ports: Ports) -> PlannedTogether:
    """Work out a tank and its water; what is wrong with one does not hide the other.

    Parameters
    ----------
    actor
        On whose behalf; whoever asks may plan. Their own rows of animals go before ours.
    words
        By option, as for ``blueprint new`` and ``source-water``; without ``tap`` no water.
    ports
        The outside parts.
    """
    water: SourcePlan | None = None
    water_wrong: tuple[Finding, ...] = ()
    if words.get("tap"):
        try:
            water = ports.blueprint.plan_water(_water_words(words))
        except BadInput as error:
            water_wrong = tuple(error.problems)
    own = own_of_keeper(actor, ports)
    choice: Choice | None = None
    choice_wrong: tuple[Finding, ...] = ()
    loose = _beside_ions(words) if water_wrong else ()
    if words.get("wish"):
        asked = {name: told for name, told in words.items() if not (water_wrong and name == "tap")}
        choice, choice_wrong = _chosen(asked, own, ports)
        if water is not None and choice is not None and choice.chosen and not words.get("water"):
            water = ports.blueprint.plan_water(_as_warm_as(choice, words))
    of_tank = {name: told for name, told in words.items() if name not in OF_WATER}
    request = BlueprintRequest(
        of_tank, water=water, own_animals=own, choice=choice, loose_tap=loose
    )
    try:
        blueprint = ports.blueprint.plan(request)
    except BadInput as error:
        wrong = tuple(error.problems)
        return PlannedTogether(None, water, None, wrong, water_wrong, choice_wrong)
    return PlannedTogether(blueprint, water, choice, (), water_wrong, choice_wrong)


def _beside_ions(words: Words) -> tuple[str, ...]:
    """What was told of a tap that holds whatever its ions are."""
    tap = words.get("tap")
    texts = tap if isinstance(tap, tuple) else ()
    return tuple(text for text in texts if text.partition(" ")[0] in BESIDE_IONS)


def _chosen(
    words: Words, own: tuple[OwnAnimal, ...], ports: Ports
) -> tuple[Choice | None, tuple[Finding, ...]]:
    try:
        return ports.blueprint.choose(words, own_catalogued(own)), ()
    except BadInput as error:
        return None, tuple(error.problems)


def planned_tank(actor: Person, words: Words, filled: date, ports: Ports) -> Tank:
    """The tank of a plan, as it stands on the day it is filled.

    Raises
    ------
    BadInput
        With every problem of the tank and of its water.
    """
    told = plan_together(actor, words, ports)
    if told.blueprint is None or told.wrong or told.water_wrong:
        raise BadInput((*told.wrong, *told.water_wrong))
    return ports.blueprint.tank_of(told.blueprint, filled)


def planned_tank_file(actor: Person, words: Words, filled: date, ports: Ports) -> str:
    """The text of a tank file of the plan.

    Raises
    ------
    BadInput
        With every problem of the tank and of its water.
    """
    return ports.blueprint.tank_text(planned_tank(actor, words, filled, ports))


def start_planned_tank(
    actor: Person,
    words: Words,
    filled: date,
    ports: Ports,
    request: str | None = None,
) -> KeptWrite:
    """Take the tank of a plan into the journal.

    Parameters
    ----------
    actor
        Whose it will be.
    words
        By option.
    filled
        The day water goes in.
    ports
        The outside parts.
    request
        The writer's own name for this write.

    Raises
    ------
    BadInput
        With every problem; nothing was written then.
    """
    tank = planned_tank(actor, words, filled, ports)
    tank = replace(tank, time_zone=ports.pages.time_zone())
    return adopt_tank(actor, tank, ports, asked=_as_told(words), request=request)


def read_water_report(_actor: Person, file: Path, ports: Ports) -> tuple[str, ...]:
    """Quantities of a report in a file, as ``tap`` takes them.

    Raises
    ------
    BadInput
        With every problem found, each with its line.
    """
    return ports.blueprint.report_texts(file)


def _as_warm_as(choice: Choice, words: Words) -> Words:
    """Those of the water at the temperature chosen, since pH moves with warmth."""
    at = {"temperature": f"{choice.temperature_c} degC"}
    height = {"altitude": f"{choice.wish.plan.altitude_m} m"}
    return {**_water_words(words), **at, **height}


def _water_words(words: Words) -> Words:
    """Those of the water, in the temperature and at the height of the tank."""
    shared: Mapping[str, str] = {"temperature": "water", "altitude": "altitude"}
    told = {name: words[name] for name in OF_WATER if name in words}
    return told | {to: words[name] for to, name in shared.items() if name in words}


def _as_told(words: Words) -> str:
    return " ".join(f"{name}={told}" for name, told in words.items())
