"""The real parts of planning tanks and waters; what is slow to import is imported when used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from watervane.app import BadInput
from watervane.app.blueprint_ports import BlueprintPorts, BlueprintRequest, Words
from watervane.app.planning_pages import OF_WATER
from watervane.records import (
    AnimalWish,
    Blueprint,
    BlueprintWish,
    Choice,
    ChoiceWish,
    Finding,
    OwnAnimal,
    SharedWater,
    SourcePlan,
    SourceWater,
    Tank,
)
from watervane.reference import CatalogueAnimal, own_row

MOST_ROUNDS = 3  # of choosing, until the temperature of water and choice agree
WATERS_KEPT = 64
OF_A_WATER = (*OF_WATER, "from", "temperature", "altitude")


def blueprint_ports() -> BlueprintPorts:
    """The parts a real run plans with."""
    return BlueprintPorts(
        plan=_plan,
        plan_water=_plan_water,
        write_tank=_write_tank,
        choose=_choose,
        plan_chosen=_plan_chosen,
        choice_document=_choice_document,
        tank_of=_tank_of,
        tank_text=_tank_text,
        report_texts=_report_texts,
        warm_up=_warm_up,
        blueprint_document=_blueprint_document,
        source_document=_source_document,
    )


@contextmanager
def _problems_told() -> Iterator[None]:
    from watervane.exchange import TankFileErrors
    from watervane.planning.blueprint.shapes import CannotPlan
    from watervane.planning.waters.report import CannotRead

    try:
        yield
    except (CannotPlan, CannotRead, TankFileErrors) as error:
        raise BadInput(error.problems) from error


def _plan(request: BlueprintRequest) -> Blueprint:
    from watervane.planning.blueprint.whole import blueprint_of

    with _problems_told():
        wish = _read_wish(request)
        if request.own_animals and not wish.own_animals:
            wish = replace(wish, own_animals=_of_these(wish, request.own_animals))
        if request.tank is None:
            wish = _as_warm_as_they_like(request.words, wish)
        if request.loose_tap:
            wish = replace(wish, source_water=_loose_water(request.loose_tap))
        water = request.water or _water_of(request.words, wish)
        if request.tank is None:
            wish = _for_those_that_can(request, wish, water)
            water = request.water or _water_of(request.words, wish)  # as warm as they like it
        return blueprint_of(wish, water, request.own)


def _read_wish(request: BlueprintRequest) -> BlueprintWish:
    """What is wished for; else all that is wrong with its words, its sizes and its tap at once."""
    from watervane.exchange import blueprint_words
    from watervane.planning.blueprint.whole import contradictions_of

    wish, wrong = blueprint_words.tried_blueprint_words(request.words, request.tank)
    of_tap: tuple[Finding, ...] = ()
    if request.water is None:
        try:
            _water_of(request.words, wish)
        except BadInput as error:
            of_tap = tuple(error.problems)
    if not (wrong or of_tap):
        return wish
    raise BadInput((*wrong, *_not_unread(contradictions_of(wish), wrong), *of_tap))


def _not_unread(found: Sequence[Finding], wrong: Sequence[Finding]) -> list[Finding]:
    """Contradictions without those that only say that a word could not be read."""
    unread = {str(each.arguments.get("option", "")) for each in wrong}
    sizes = "size" in unread or any(
        each.key in {"blueprint-sizes", "blueprint-no-shape"} for each in wrong
    )
    return [
        each
        for each in found
        if each not in wrong
        and not (
            each.key == "blueprint-missing"
            and (sizes or str(each.arguments.get("name", "")) in unread)
        )
    ]


def _loose_water(texts: tuple[str, ...]) -> SourceWater:
    """What was told of a tap beside its ions; what cannot be read is told elsewhere."""
    from watervane.exchange import water_words, word_reader

    told = water_words.read_report_words(word_reader.WordReader({}), "", texts)
    return SourceWater(
        ph=told.ph,
        nitrate_mg_n_per_l=told.nitrate_mg_n_per_l,
        chlorine_mg_per_l=told.chlorine_mg_per_l,
        chloramine_mg_per_l=told.chloramine_mg_per_l,
    )


def _for_those_that_can(
    request: BlueprintRequest, wish: BlueprintWish, water: SourcePlan | None
) -> BlueprintWish:
    """Of the animals wished for those that can live in it, in the best numbers."""
    from watervane.planning.blueprint.whole import stands_against
    from watervane.planning.choosing.stock import for_those_that_can

    told = bool(request.words.get("water"))
    if request.choice is not None:
        return for_those_that_can(wish, request.choice, warmth_told=told)
    if not stands_against(wish, water):
        return wish
    return for_those_that_can(wish, _choice_of_known(request, wish), warmth_told=told)


def _choice_of_known(request: BlueprintRequest, wish: BlueprintWish) -> Choice:
    """A choice among the animals that somebody knows."""
    from watervane.planning.choosing.stock import kinds_of
    from watervane.planning.choosing.whole import choice_of
    from watervane.planning.waters.plan import shared_water

    kinds = kinds_of(wish)
    wishes = tuple(AnimalWish(name, count) for name, (_, count) in kinds.items())
    level = wish.water_c if request.words.get("water") else None
    asked = ChoiceWish(wish, wishes, SharedWater(), None, level)
    animals = {name: animal for name, (animal, _) in kinds.items()}
    if request.water is not None:
        return choice_of(replace(asked, water=shared_water(request.water)), animals)
    return _chosen_at_its_warmth(request.words, asked, animals)


def _of_these(wish: BlueprintWish, own: tuple[OwnAnimal, ...]) -> tuple[OwnAnimal, ...]:
    """Own rows of the animals wished for, so that a plan takes no others along."""
    rows = [own_row(each.species, own) for each in wish.animals]
    return tuple(each for each in own if any(each is row for row in rows))


def _as_warm_as_they_like(words: Words, wish: BlueprintWish) -> BlueprintWish:
    """Where nobody told how warm the water is to be: what suits all the animals that are known."""
    from watervane.planning.choosing.stock import their_warmth_c

    if words.get("water"):
        return wish
    liked = their_warmth_c(wish)
    return wish if liked is None else replace(wish, water_c=liked)


def _plan_water(words: Words) -> SourcePlan:
    """A water worked out; kept, as it stays the same while glass, room or animals change."""
    told = {name: each for name, each in words.items() if name in OF_A_WATER}
    if "from" in told:  # a file may change
        return _worked_out_water(told)
    return _kept_water(tuple(sorted(told.items())))


@lru_cache(maxsize=WATERS_KEPT)
def _kept_water(items: tuple[tuple[str, str | bool | tuple[str, ...]], ...]) -> SourcePlan:
    return _worked_out_water(dict(items))


def _worked_out_water(words: Words) -> SourcePlan:
    from watervane.exchange import water_words
    from watervane.planning.waters.plan import AtHand, source_plan
    from watervane.planning.waters.recipes import usual_salts

    with _problems_told():
        told = water_words.read_water_words(words)
        salts = {each.salt: each for each in usual_salts()}
        chosen = told.salts or tuple(salts)
        at_hand = AtHand(told.waters, tuple(salts[name] for name in chosen), told.rain)
        return source_plan(told.report, at_hand, told.target)


def _water_of(words: Words, wish: BlueprintWish) -> SourcePlan | None:
    if not words.get("tap") and not words.get("from"):
        return None
    warmth, height = f"{wish.water_c} degC", f"{wish.altitude_m} m"
    return _plan_water({**words, "temperature": warmth, "altitude": height})


def _choose(words: Words, own: Sequence[CatalogueAnimal]) -> Choice:
    from watervane.exchange import TankFileErrors, choice_words, own_animals
    from watervane.planning.choosing.scene import scene_of

    with _problems_told():
        told: choice_words.ToldChoice | None = None
        of_wishes: tuple[Finding, ...] = ()
        try:
            told = choice_words.read_choice_words(words, own)
        except TankFileErrors as error:
            of_wishes = tuple(error.problems)
        try:
            rows = own_animals.own_rows(own)
            plan = replace(_read_wish(BlueprintRequest(words)), own_animals=rows)
        except BadInput as error:
            more = [each for each in of_wishes if each not in error.problems]
            raise BadInput((*error.problems, *more)) from error
        if told is None:
            raise BadInput(of_wishes)
        wish = ChoiceWish(plan, told.wishes, SharedWater(), told.change_l, told.temperature_c)
        if told.change_share is not None:
            litres = told.change_share * scene_of(wish).net_l
            wish = replace(wish, change_l_per_week=litres)
        return _chosen_at_its_warmth(words, wish, told.animals)


def _chosen_at_its_warmth(
    words: Words, wish: ChoiceWish, animals: Mapping[str, CatalogueAnimal]
) -> Choice:
    """Choose in the water as it is at the temperature chosen: its pH moves with warmth.

    Where no temperature agrees with itself, the water has the pH that holds at all of them.
    """
    from watervane.planning.choosing.stock import middle_c, shared_by
    from watervane.planning.choosing.whole import choice_of
    from watervane.planning.waters.plan import shared_water, steady_water

    told = _water_of(words, wish.plan)
    if told is None:
        return choice_of(wish, animals)
    if wish.temperature_c is not None:
        return choice_of(replace(wish, water=shared_water(told)), animals)
    tried = middle_c(shared_by(animals.values())) or wish.plan.water_c
    water = _water_of(words, replace(wish.plan, water_c=tried)) or told
    for _ in range(MOST_ROUNDS):
        choice = choice_of(replace(wish, water=shared_water(water)), animals)
        if abs(choice.temperature_c - tried) < 1e-9:
            return choice
        tried = choice.temperature_c
        water = _water_of(words, replace(wish.plan, water_c=tried)) or water
    ranges = [each.temperature_c for each in animals.values() if each.temperature_c]
    ends = (min(each.low for each in ranges), max(each.high for each in ranges))
    source = {name: each for name, each in words.items() if name != "want"}
    found = [_water_of(source, replace(wish.plan, water_c=level)) for level in ends]
    others = [each for each in found if each is not None]
    return choice_of(replace(wish, water=steady_water(shared_water(told), told, others)), animals)


def _plan_chosen(choice: Choice, words: Words) -> Blueprint:
    from watervane.planning.blueprint.whole import blueprint_of
    from watervane.planning.choosing.whole import plan_with

    with _problems_told():
        wish = plan_with(choice)
        return blueprint_of(wish, _water_of(words, wish))


def _choice_document(choice: Choice) -> Mapping[str, Any]:
    from watervane.exchange import blueprint_json

    return blueprint_json.choice_document(choice)


def _tank_of(blueprint: Blueprint, filled: date) -> Tank:
    from watervane.planning.blueprint.handover import tank_of

    return tank_of(blueprint, filled)


def _tank_text(tank: Tank) -> str:
    from watervane.exchange import write_tank_file

    with _problems_told():
        return write_tank_file(tank)


def _report_texts(file: Path) -> tuple[str, ...]:
    from watervane.exchange import water_file, water_words

    with _problems_told():
        # With the line of each that means nothing.
        water_words.read_water_words({"from": str(file)})
        return tuple(text for text, _ in water_file.read_water_file(file))


def _warm_up() -> None:
    import scipy.optimize  # noqa: F401 - half a second, the first time

    import watervane.planning.blueprint.whole
    import watervane.planning.waters.plan  # noqa: F401 - loaded for the next question


def _write_tank(
    blueprint: Blueprint, filled: date, file: Path, *, over: bool
) -> tuple[Finding, ...]:
    from watervane.exchange import write_tank_file, write_whole

    with _problems_told():
        write_whole(file, write_tank_file(_tank_of(blueprint, filled)), over=over)
    return (Finding("blueprint-written", "info", {"file": str(file)}),)


def _blueprint_document(blueprint: Blueprint) -> Mapping[str, Any]:
    from watervane.exchange import blueprint_json

    return blueprint_json.blueprint_document(blueprint)


def _source_document(plan: SourcePlan) -> Mapping[str, Any]:
    from watervane.exchange import blueprint_json

    return blueprint_json.source_document(plan)
