"""Look a journal over and explain what is wrong with it; nothing is changed."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, select

from watervane.journal.connections import (
    APPLICATION_ID,
    connected_for_reading,
    reader,
)
from watervane.journal.entries import described, understood
from watervane.journal.network import network_kind
from watervane.journal.places import Place
from watervane.journal.schema import HEAD, REVISIONS, revision_of
from watervane.journal.tables import DESCRIPTION, UNDO, entries, tanks
from watervane.journal.troubles import JournalTrouble, explained
from watervane.records import Finding

LITTLE_ROOM_MB = 100.0
_SQLITE_HEADER = b"SQLite format 3\x00"
_SHOWN = 5
_EFFECTIVE = os.access in os.supports_effective_ids


def examined(place: Place) -> tuple[Finding, ...]:
    """Everything worth knowing about a journal, what is wrong with it as problems."""
    return tuple(_server(place) if place.file is None else _file(place, place.file))


def _server(place: Place) -> Iterator[Finding]:
    try:
        with explained(str(place)):
            yield from _inside(place)
    except JournalTrouble as trouble:
        yield Finding(trouble.key, "problem", trouble.arguments)


def _file(place: Place, file: Path) -> Iterator[Finding]:
    yield from _surroundings(file)
    if not file.exists():
        yield Finding("look-over-no-journal", "info", {"place": str(file)})
        return
    try:
        with explained(str(file)):
            yield from _header(file)
            broken = tuple(_damage(file))
            yield from broken
            if broken:
                return
            yield from _inside(place)
    except JournalTrouble as trouble:
        told = {"place": str(file), **trouble.arguments}
        yield Finding(trouble.key, "problem", told)


def _inside(place: Place) -> Iterator[Finding]:
    engine = reader(place)
    try:
        with engine.begin() as connection:
            yield from _opened(connection, place)
    finally:
        engine.dispose()


def _surroundings(file: Path) -> Iterator[Finding]:
    folder = _nearest(file.parent)
    kind = network_kind(folder)
    if kind is not None:
        yield Finding("look-over-network", "caution", {"place": str(folder), "kind": kind})
    for needed in (folder, file):
        if needed.exists() and not os.access(needed, os.W_OK, effective_ids=_EFFECTIVE):
            yield Finding("journal-read-only", "problem", {"place": str(needed), "said": ""})
    room_mb = shutil.disk_usage(folder).free / 1e6
    if room_mb < LITTLE_ROOM_MB:
        told = {"place": str(folder), "megabytes": round(room_mb)}
        yield Finding("look-over-little-room", "caution", told)


def _nearest(folder: Path) -> Path:
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    return folder


def _header(file: Path) -> Iterator[Finding]:
    with file.open("rb") as opened:
        header = opened.read(100)
    if header and not header.startswith(_SQLITE_HEADER):
        raise JournalTrouble("look-over-not-a-journal", place=str(file))
    if int.from_bytes(header[68:72], "big") not in (0, APPLICATION_ID):
        yield Finding("journal-foreign", "problem", {"place": str(file)})


def _damage(file: Path) -> Iterator[Finding]:
    """What SQLite itself says of the file's pages and of rows that name missing ones."""
    with closing(connected_for_reading(file)) as connection:
        try:
            lines = [row[0] for row in connection.execute("PRAGMA integrity_check(20)")]
            torn = connection.execute("PRAGMA foreign_key_check").fetchall()
        except sqlite3.DatabaseError as error:
            lines, torn = [str(error)], []
    if lines != ["ok"]:
        shown = [" ".join(str(line).split())[:120] for line in lines[:_SHOWN]]
        told = {"place": str(file), "said": "; ".join(shown)}
        yield Finding("journal-damaged", "problem", told)
    if torn:
        yield Finding("look-over-torn", "problem", {"place": str(file), "rows": len(torn)})


def _opened(connection: Connection, place: Place) -> Iterator[Finding]:
    revision = revision_of(connection)
    if revision is None:
        yield Finding("look-over-no-journal", "info", {"place": str(place)})
        return
    told = {"place": str(place), "schema": revision, "known": HEAD}
    if revision not in REVISIONS:
        yield Finding("journal-newer", "problem", told)
        return
    if revision != HEAD:
        yield Finding("look-over-older", "info", told)
        return
    yield from _readable(connection, place)


def _readable(connection: Connection, place: Place) -> Iterator[Finding]:
    """Try to understand every entry."""
    unread: list[int] = []
    count = 0
    for row in connection.execute(select(entries)):
        count += 1
        if row.kind == UNDO:
            continue
        try:
            described(row, "") if row.kind == DESCRIPTION else understood(row)
        except (KeyError, ValueError, TypeError):
            unread.append(row.number)
    if unread:
        numbers = ", ".join(map(str, unread[:_SHOWN]))
        told = {"place": str(place), "count": len(unread), "numbers": numbers}
        yield Finding("look-over-unreadable", "problem", told)
    kept = len(connection.execute(select(tanks.c.key)).all())
    told = {"place": str(place), "tanks": kept, "entries": count}
    yield Finding("look-over-journal", "info", told)
