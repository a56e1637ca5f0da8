"""Put a tank away that is kept no more, and bring it back; the journal loses nothing of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from watervane.app.keeping import KeptWrite
from watervane.app.ports import BadInput, Ports
from watervane.records import Finding, KeptTank, Person, Tank


@dataclass(frozen=True, slots=True)
class OutOfSight:
    """What goes out of sight with a tank: how many readings, other entries and photos."""

    tank: Tank
    readings: int
    others: int
    photos: int


def tanks_put_away(actor: Person, ports: Ports) -> tuple[KeptTank, ...]:
    """The actor's tanks that were put away, by name."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return tuple(tank for tank in view.tanks() if tank.put_away is not None)


def out_of_sight(actor: Person, key: str, ports: Ports) -> OutOfSight:
    """What there is of a tank, for who is about to put it away.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tank = view.tank(key)
        photos = len(view.with_photos(key))
    return OutOfSight(tank, len(tank.readings), len(tank.events) + len(tank.habits), photos)


def put_away(actor: Person, key: str, ports: Ports, request: str | None = None) -> KeptWrite:
    """Put a tank out of sight from today on: it is on no list, and nothing is foretold of it.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    now = ports.journal.now()
    with ports.journal.open() as journal:
        with journal.looking(actor) as view:
            zone = ZoneInfo(view.description(key).time_zone)
        kept = _described(actor, key, now.astimezone(zone).date(), ports, request)
        with journal.asking(actor, now) as asking:
            for job in asking.jobs(key):
                if job.open:
                    asking.cancel(job.key)
    return kept


def bring_back(actor: Person, key: str, ports: Ports, request: str | None = None) -> KeptWrite:
    """Put a tank on the lists again, with its whole log.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    return _described(actor, key, None, ports, request)


def _described(
    actor: Person, key: str, day: date | None, ports: Ports, request: str | None
) -> KeptWrite:
    what = "bring back" if day is None else "put away"
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what=what, asked=key, request=request) as work,
    ):
        tank = work.description(key)
        if work.earlier is not None:
            return KeptWrite(tank.name, work.earlier)
        if (tank.put_away is None) == (day is None):
            raise BadInput([Finding(f"{what.replace(' ', '-')}-already", "problem",
                                    {"name": tank.name})])  # fmt: skip
        raw = f"put_away={'' if day is None else day}"
        return KeptWrite(tank.name, work.describe(key, replace(tank, put_away=day), raw))
