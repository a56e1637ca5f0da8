"""Watch over a tank of the journal: its readings beside forecasts that were kept before them."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from pathlib import Path

from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import OpenJournal, View
from watervane.records import Entry, Event, Finding, Habit, KeptForecast, Person, Reading, Tank
from watervane.records.watching import Foretold, Watch

MOST = 90  # kept forecasts that are looked through, the newest


def watch_tank(actor: Person, source: Path, ports: Ports) -> tuple[Tank, Watch]:
    """Compare all readings of a tank of the journal with what was foretold of them.

    Raises
    ------
    BadInput
        For a file, which keeps no forecasts; and where there is no such tank.
    """
    name = ports.journal.name_of(source)
    if name is None:
        raise BadInput([Finding("watch-of-a-file", "problem", {"file": str(source)})])
    with ports.journal.open() as journal, journal.looking(actor) as view:
        key = view.key_of(name)
        return view.tank(key), watched(key, view, ports, ports.journal.now())


def watched(key: str, view: View, ports: Ports, now: datetime) -> Watch:
    """The watch over a tank by its key, as of a moment."""
    tank = view.tank(key)
    entries = view.entries(key)
    told = []
    for kept in _one_a_gap(view.forecasts(key, MOST), tank):
        with suppress(BadInput):  # what can no longer be read is as good as not there
            forecast = ports.pages.forecast_of_text(kept.document)
            told.append(Foretold(forecast, unknown_to(kept, entries)))
    return ports.care.watch(tank, told, now)


def watch_of(actor: Person, source: Path, ports: Ports) -> Watch | None:
    """The watch over a tank of the journal; none of a file, nor where it cannot be had."""
    if ports.journal.name_of(source) is None:
        return None
    with suppress(BadInput):
        return watch_tank(actor, source, ports)[1]
    return None


def with_watch(key: str, actor: Person, ports: Ports, journal: OpenJournal) -> Watch | None:
    """The same for a worker, that goes on without it where it cannot be had."""
    with suppress(BadInput), journal.looking(actor) as view:
        return watched(key, view, ports, ports.journal.now())
    return None


def _one_a_gap(kept: tuple[KeptForecast, ...], tank: Tank) -> list[KeptForecast]:
    """The last forecast before each moment of reading: the others are in force for none."""
    moments = sorted({each.at for each in tank.readings})
    ordered = sorted(kept, key=lambda each: each.as_of)
    last = {sum(moment <= each.as_of for moment in moments): each for each in ordered}
    return list(last.values())


def unknown_to(kept: KeptForecast, entries: tuple[Entry, ...]) -> tuple[Event, ...]:
    """Events after its moment that were written when it had been made."""
    return tuple(
        entry.what
        for entry in entries
        if entry.standing
        and entry.number > kept.newest_entry
        and not isinstance(entry.what, Habit | Reading)
        and entry.what.at > kept.as_of
    )
