"""Plan a tank that does not exist yet, look one over, work out a source water."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from watervane.app.blueprint_ports import BlueprintRequest, Words
from watervane.app.ports import Ports
from watervane.app.use_cases import check
from watervane.records import Blueprint, Finding, Person, SourcePlan


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, and what was noticed on the way to it."""

    blueprint: Blueprint
    findings: tuple[Finding, ...] = ()


def plan_tank(
    _actor: Person,
    words: Words,
    ports: Ports,
    write: Path | None = None,
    filled: date | None = None,
    *,
    over: bool = False,
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
    write
        A tank file to be made of the plan.
    filled
        The day the tank is to be filled; today where left out.
    over
        Whether a file that is there may be replaced.

    Raises
    ------
    BadInput
        With every problem found.
    """
    blueprint = ports.blueprint.plan(BlueprintRequest(words))
    found: tuple[Finding, ...] = ()
    if write is not None:
        day = date.today() if filled is None else filled  # noqa: DTZ011 - the keeper's own day
        found = ports.blueprint.write_tank(blueprint, day, write, over=over)
    return Planned(blueprint, found)


def look_over(actor: Person, source: Path, words: Words, ports: Ports) -> Planned:
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

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked = check(actor, source, ports)
    return Planned(ports.blueprint.plan(BlueprintRequest(words, checked.tank)), checked.findings)


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
