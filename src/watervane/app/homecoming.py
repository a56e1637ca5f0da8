"""Bring animals home to a tank."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import Ports
from watervane.app.rounds import newest_foreseen
from watervane.app.unit_of_work import View
from watervane.app.use_cases import check
from watervane.app.working import present_moment
from watervane.records import Finding, Homecoming, Person, Tank, Trip


@dataclass(frozen=True, slots=True)
class BroughtHome:
    """What a trip comes to, and what the reader of the tank's file found."""

    homecoming: Homecoming
    findings: tuple[Finding, ...]


def bring_home(actor: Person, source: Path, trip: Trip, seed: int, ports: Ports) -> BroughtHome:
    """Read a tank and work out a trip to it, by its newest kept forecast if there is one.

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked = check(actor, source, ports)
    name = ports.journal.name_of(source)
    if name is None:
        now = present_moment(checked.tank, ports.journal.now())
        return BroughtHome(ports.bring_home(checked.tank, trip, seed, now), checked.findings)
    with ports.journal.open() as journal, journal.looking(actor) as view:
        told = brought_to(view.key_of(name), checked.tank, trip, seed, view, ports)
    return BroughtHome(told, checked.findings)


def brought_to(key: str, tank: Tank, trip: Trip, seed: int, view: View, ports: Ports) -> Homecoming:
    """The same of a tank of the journal.

    Parameters
    ----------
    key, tank
        Of the journal.
    trip, seed
        The bag, and of all that is not known.
    view, ports
        Of the journal, and the outside parts.
    """
    foreseen = newest_foreseen(key, view, ports)
    now = present_moment(tank, ports.journal.now())
    forecast = None if foreseen is None else foreseen.forecast
    return ports.bring_home(tank, trip, seed, now, forecast)
