"""Join a tank's history with a journal: nothing of either is lost, and what both have counts once.

What stands afterwards is decided by what was written alone, never by which journal was joined with
which; joining again changes nothing.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Row, insert, select

from watervane.journal.entries import described, forecast_row, photo_row, understood
from watervane.journal.history import ENTRY_COLUMNS, WRITE_COLUMNS, history_of
from watervane.journal.settling import settle
from watervane.journal.tables import DESCRIPTION, UNDO, entries, forecasts, photos, tanks, writes
from watervane.journal.troubles import JournalTrouble
from watervane.records import EntryMade, Joined, Person, TankHistory, WriteMade

_AT_ONCE = 500
_SAME_TEXT = (
    "actor",
    "digest",
    "what",
    "written_at",
)  # of a write; its request may have been taken
Item = TypeVar("Item")


def join(connection: Connection, actor: Person, history: TankHistory) -> Joined:
    """Add what is new in a history to the journal, within one write.

    Raises
    ------
    JournalTrouble
        Where the history cannot be understood, or says something else under a key of ours.
    """
    _check(history)
    owner = connection.execute(select(tanks.c.owner).where(tanks.c.key == history.key)).scalar()
    if owner not in (None, actor.name):
        raise JournalTrouble("tank-of-another", name=history.name)
    before = None if owner is None else history_of(connection, history.key, history.name)
    taken = _add_writes(connection, history.writes)
    if before is None:
        row = {"key": history.key, "owner": actor.name, "write_key": history.write}
        connection.execute(insert(tanks).values(row))
    added = _add_entries(connection, history)
    kept = _add_forecasts(connection, history)
    seen = _add_photos(connection, history)
    settled = settle(connection, history, before, frozenset(entry.key for entry in added), taken)
    return Joined(
        tank=history.key,
        name=history.name,
        new_tank=before is None,
        added=len(added),
        same=len(history.entries) - len(added),
        twins=settled.twins,
        forecasts=kept,
        photos=seen,
        clashes=settled.clashes,
    )


def _check(history: TankHistory) -> None:
    """Refuse what this program could not read again, before anything is written."""
    seen: set[str] = set()
    known = {write.key for write in history.writes}
    for count, entry in enumerate(history.entries, start=1):
        told = {"number": count, "entry": entry.key}
        if entry.write not in known or (entry.corrects and entry.corrects not in seen):
            raise JournalTrouble("history-torn", **told)
        seen.add(entry.key)
        row: Any = entry  # its fields are named as a row's columns are
        try:
            if entry.kind == DESCRIPTION:
                described(row, "")
            elif entry.kind != UNDO:
                understood(row)
        except (KeyError, ValueError, TypeError, AttributeError, IndexError) as error:
            raise JournalTrouble("history-unreadable", **told) from error
    if history.write not in known or not any(e.kind == DESCRIPTION for e in history.entries):
        raise JournalTrouble("history-torn", number=0, entry=history.key)
    if any(forecast.write not in known for forecast in history.forecasts):
        raise JournalTrouble("history-torn", number=0, entry=history.key)


def _add_writes(connection: Connection, told: tuple[WriteMade, ...]) -> dict[str, str]:
    """Add writes that are new; of those whose request was used here, by which of our writes."""
    ours = {row.key: row for row in _found(connection, writes.c.key, (w.key for w in told))}
    taken = {}
    for write in told:
        here = ours.get(write.key)
        if here is not None:
            if any(getattr(here, name) != getattr(write, name) for name in _SAME_TEXT):
                raise JournalTrouble("history-differs", entry=write.key)
            continue
        row = {name: getattr(write, name) for name in WRITE_COLUMNS}
        used = connection.execute(
            select(writes.c.key).where(
                writes.c.actor == write.actor, writes.c.request == write.request
            )
        ).scalar()
        if used is not None:
            taken[write.key] = used
            row["request"] = f"{write.request} {write.key}"
        connection.execute(insert(writes).values(row))
    return taken


def _add_entries(connection: Connection, history: TankHistory) -> list[EntryMade]:
    keys = (entry.key for entry in history.entries)
    ours = {row.key: row for row in _found(connection, entries.c.key, keys)}
    new = []
    for entry in history.entries:
        here = ours.get(entry.key)
        if here is None:
            new.append(entry)
        elif here.tank_key != history.key or not _same(here, entry):
            raise JournalTrouble("history-differs", entry=entry.key)
    for some in _parts(new):
        rows = [{**entry_columns(entry), "tank_key": history.key} for entry in some]
        connection.execute(insert(entries), rows)
    return new


def entry_columns(entry: EntryMade) -> dict[str, Any]:
    """The columns an entry fills, but for its tank's."""
    told = {name: getattr(entry, name) for name in ENTRY_COLUMNS}
    return {**told, "write_key": entry.write}


def _same(here: Row[Any], entry: EntryMade) -> bool:
    names = [name for name in ENTRY_COLUMNS if name != "body"]
    return (
        here.write_key == entry.write
        and all(getattr(here, name) == getattr(entry, name) for name in names)
        and (here.body == entry.body or json.loads(here.body) == json.loads(entry.body))
    )


def _add_forecasts(connection: Connection, history: TankHistory) -> int:
    keys = (made.key for made in history.forecasts)
    ours = {row.key for row in _found(connection, forecasts.c.key, keys)}
    new = [made for made in history.forecasts if made.key not in ours]
    known = {
        row.key: row.number
        for row in _found(connection, entries.c.key, {made.knew for made in new if made.knew})
    }
    for made in new:
        forecast = dataclasses.replace(made.forecast, newest_entry=known.get(made.knew or "", 0))
        row = {"key": made.key, "tank_key": history.key, "write_key": made.write}
        connection.execute(insert(forecasts).values({**row, **forecast_row(forecast)}))
    return len(new)


def _add_photos(connection: Connection, history: TankHistory) -> int:
    keys = (made.key for made in history.photos)
    ours = {row.key for row in _found(connection, photos.c.key, keys)}
    new = [made for made in history.photos if made.key not in ours]
    there = {entry.key for entry in history.entries}
    for made in new:
        if made.entry not in there:
            raise JournalTrouble("history-torn", number=0, entry=made.key)
        row = {"key": made.key, "entry_key": made.entry, **photo_row(made.photo)}
        connection.execute(insert(photos).values(row))
    return len(new)


def _found(
    connection: Connection, column: ColumnElement[str], keys: Iterable[str]
) -> Iterator[Row[Any]]:
    for some in _parts(list(keys)):
        table = column.table
        yield from connection.execute(select(table).where(column.in_(some)))


def _parts(items: list[Item]) -> Iterator[list[Item]]:
    for start in range(0, len(items), _AT_ONCE):
        yield items[start : start + _AT_ONCE]
