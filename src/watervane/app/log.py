"""The whole log of a tank, however long, a page at a time."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from watervane.app.ports import BadInput, Ports
from watervane.records import Entry, LogAsked, LogPart, Person, Tank

A_PAGE = 60  # entries
LARGEST = 2**63 - 1  # number that a database can look for


@dataclass(frozen=True, slots=True)
class LogPage:
    """One page of a log: its entries, the latest first, and how many pages there are."""

    tank: Tank
    now: datetime
    part: LogPart
    page: int
    pages: int
    photographed: frozenset[int]


def log_page(
    actor: Person,
    key: str,
    ports: Ports,
    *,
    kinds: Collection[type] = (),
    until: date | None = None,
    page: int = 1,
) -> LogPage:
    """A page of a tank's log; one beyond the last is the last.

    Parameters
    ----------
    actor, key, ports
        Whose, which, and of what journal.
    kinds
        Records that are told; all where empty.
    until
        The last day that is told, by the tank's own clock.
    page
        The first is 1.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tank = view.description(key)
        zone = ZoneInfo(tank.time_zone)
        end = None
        if until is not None:
            end = datetime.combine(until + timedelta(days=1), time(), tzinfo=zone)
        whole = LogAsked(frozenset(kinds), end, count=0)
        pages = max(1, -(-view.logged(key, whole).total // A_PAGE))
        page = min(max(1, page), pages)
        asked = LogAsked(frozenset(kinds), end, skip=(page - 1) * A_PAGE, count=A_PAGE)
        part, photographed = view.logged(key, asked), view.with_photos(key)
    return LogPage(tank, ports.journal.now().astimezone(zone), part, page, pages, photographed)


def entry_of_tank(actor: Person, key: str, number: int, ports: Ports) -> Entry | None:
    """An entry by its number, however old; ``None`` where this tank has none of it."""
    if not 0 < number <= LARGEST:
        return None
    try:
        with ports.journal.open() as journal, journal.looking(actor) as view:
            of, entry = view.entry(number)
    except BadInput:
        return None
    return entry if of == key else None
