"""Plan a tank that does not exist yet, look one over, work out a source water."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from watervane.app.blueprint_ports import BlueprintRequest, Words
from watervane.app.handing_over import NOTHING, HandOver, filled_on, hand_over
from watervane.app.ports import Ports, Progress, WaysRequest
from watervane.app.use_cases import check
from watervane.records import Blueprint, Finding, Person, SourcePlan

OWN_HORIZON_DAYS = 120


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, and what was noticed on the way to it."""

    blueprint: Blueprint
    findings: tuple[Finding, ...] = ()


def plan_tank(
    _actor: Person,
    words: Words,
    ports: Ports,
    files: HandOver = NOTHING,
    *,
    progress: Progress | None = None,
) -> Planned:
    """Plan a tank from words.

    Parameters
    ----------
    _actor
        On whose behalf; whoever asks may plan.
    words
        By option.
    ports
        The outside parts.
    files
        What is to be made of the plan; filled today where no word tells the day.
    progress
        Called with a stage key and the share done (0..1) where this very tank is run.

    Raises
    ------
    BadInput
        With every problem found.
    """
    blueprint = _with_own_start(BlueprintRequest(words), ports, progress)
    return Planned(blueprint, hand_over(blueprint, files, ports))


def _with_own_start(
    request: BlueprintRequest, ports: Ports, progress: Progress | None
) -> Blueprint:
    """A plan; where asked for, planned again with the ways of its own tank."""
    blueprint = ports.blueprint.plan(request)
    if request.words.get("run-start") is not True:
        return blueprint
    tank = ports.blueprint.tank_of(blueprint, filled_on(blueprint))
    run = WaysRequest(horizon_days=OWN_HORIZON_DAYS)
    begins = datetime.combine(tank.filled, time(12), ZoneInfo(tank.time_zone))
    own = ports.compare_ways(tank, run, begins, progress)
    return ports.blueprint.plan(replace(request, own=own))


def look_over(
    actor: Person, source: Path, words: Words, ports: Ports, progress: Progress | None = None
) -> Planned:
    """Hold the tank of a file against the same sums.

    Parameters
    ----------
    actor
        On whose behalf.
    source
        A tank file, or the name of a tank of the journal.
    words
        What a tank file does not tell: floor, room, price.
    ports
        The outside parts.
    progress
        See `plan_tank`.

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked = check(actor, source, ports)
    request = BlueprintRequest(words, checked.tank)
    return Planned(_with_own_start(request, ports, progress), checked.findings)


def plan_source_water(_actor: Person, words: Words, ports: Ports) -> SourcePlan:
    """Work a source water out.

    Parameters
    ----------
    _actor
        On whose behalf; whoever asks may plan.
    words
        Ions, waters and salts at hand, ranges wanted.
    ports
        The outside parts.

    Raises
    ------
    BadInput
        With every problem found.
    """
    return ports.blueprint.plan_water(words)
