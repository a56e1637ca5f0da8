"""Copies of a journal in one file, made while it is in use, and the way back.

A copy of either kind of journal is a SQLite file, so that it can be restored to the other kind.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Mapping
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection

from watervane.journal.beside import put_along, take_out
from watervane.journal.connections import connected_for_reading, reader, writer
from watervane.journal.copying import Contents, contents, copy_rows, is_empty
from watervane.journal.places import Place
from watervane.journal.schema import HEAD, bring_up, check_known, revision_of
from watervane.journal.troubles import JournalTrouble, explained


def back_up(place: Place, target: Path, along: Mapping[str, bytes] | None = None) -> Contents:
    """Copy a journal as it stands at one moment, read the copy back and compare.

    Parameters
    ----------
    place
        Others may be writing to it meanwhile.
    target
        A file that is not there yet. It appears under this name once it was read back.
    along
        Small files that lie beside the journal, by their names; the copy carries them.

    Raises
    ------
    JournalTrouble
        Nothing is left behind then.
    """
    if target.exists():
        raise JournalTrouble("backup-exists", file=str(target))
    if place.file is not None and not place.file.exists():
        raise JournalTrouble("journal-none", place=str(place))
    part = target.with_name(f".{target.name}.part")
    try:
        with explained(str(target)):
            part.parent.mkdir(parents=True, exist_ok=True)
            part.touch(mode=0o600)
        with explained(str(place)):
            held = _copied(place, part)
        with explained(str(target)):
            put_along(part, along or {})
            _compare(_read_back(part), held, target)
            _settle(part, target)
    finally:
        for left in (part, *_beside(part)):
            left.unlink(missing_ok=True)
    return held


def restore(copy: Path, place: Place, *, over: bool = False) -> tuple[Contents, Path | None]:
    """Put a copy in a journal's place, in one step, and read it back.

    Parameters
    ----------
    copy
        Made by `back_up`, by this or an earlier program.
    place
        Others may have it open: they see the old journal or the new one.
    over
        Whether a journal that is not empty may be replaced; a copy of it is left beside.

    Returns
    -------
    tuple
        What the journal now holds, and where the one before was copied to.

    Raises
    ------
    JournalTrouble
        The journal is as it was then.
    """
    if not copy.is_file():
        raise JournalTrouble("backup-missing", file=str(copy))
    with explained(str(copy)):
        _check_copy(copy)
    if place.file is None:
        with explained(str(place)):
            return _into_server(copy, place), None
    kept = None
    with explained(str(place)):
        if place.file.exists() and place.file.stat().st_size:
            kept = _kept_apart(place, place.file, over=over)
        place.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with closing(connected_for_reading(copy)) as source, closing(_raw(place.file)) as target:
            source.backup(target)
            take_out(target)
        engine = writer(place)
        bring_up(engine, place)
        engine.dispose()
        return _read_back(place.file), kept


def apart(copy: Path, folder: Path) -> Place:
    """A journal's file as a journal of its own in another folder, brought up to date there.

    Raises
    ------
    JournalTrouble
        Where it is missing, damaged, or no journal this program knows.
    """
    if not copy.is_file():
        raise JournalTrouble("backup-missing", file=str(copy))
    place = Place(folder / "journal.sqlite")
    with explained(str(copy)):
        _check_copy(copy)
        with (
            closing(connected_for_reading(copy)) as source,
            closing(_raw(folder / "journal.sqlite")) as target,
        ):
            source.backup(target)
    return place


def _copied(place: Place, part: Path) -> Contents:
    """Copy within one view of the journal, which is read twice: to copy and to count."""
    engine = reader(place)
    try:
        with engine.begin() as connection:
            revision = revision_of(connection)
            if revision is None:
                raise JournalTrouble("journal-none", place=str(place))
            check_known(revision, place)
            if revision != HEAD:
                raise JournalTrouble("journal-older", place=str(place))
            held = contents(connection)
            if place.file is not None:
                _copy_pages(connection, part)
            else:
                _copy_to_file(connection, part)
    finally:
        engine.dispose()
    return held


def _copy_pages(connection: Connection, part: Path) -> None:
    source = connection.connection.dbapi_connection
    if not isinstance(source, sqlite3.Connection):
        raise TypeError("not a file")
    with closing(sqlite3.connect(part)) as target:
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")  # one file, nothing beside it


def _copy_to_file(connection: Connection, part: Path) -> None:
    place = Place(part)
    engine = writer(place)
    bring_up(engine, place)
    with engine.begin() as target:
        copy_rows(connection, target)
    with engine.connect() as target:
        raw = target.connection.dbapi_connection
        if raw is not None:
            raw.rollback()
            raw.cursor().execute("PRAGMA journal_mode=DELETE")
    engine.dispose()


def _read_back(file: Path) -> Contents:
    place = Place(file)
    engine = reader(place)
    try:
        with engine.begin() as connection:
            for line in connection.exec_driver_sql("PRAGMA integrity_check").scalars():
                if line != "ok":
                    raise JournalTrouble("journal-damaged", place=str(file), said=line)
            return contents(connection)
    finally:
        engine.dispose()


def _compare(found: Contents, wanted: Contents, target: Path) -> None:
    if found != wanted:
        raise JournalTrouble("backup-differs", file=str(target))


def _settle(part: Path, target: Path) -> None:
    """Give the copy its name once its bytes are on the disk."""
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    part.rename(target)
    with suppress(OSError):  # some systems do not open folders
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _check_copy(copy: Path) -> None:
    engine = reader(Place(copy))
    try:
        with engine.begin() as connection:
            lines = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
            if lines != ["ok"]:
                raise JournalTrouble("backup-damaged", file=str(copy), said=str(lines[0]))
            revision = revision_of(connection)
            if revision is None:
                raise JournalTrouble("journal-foreign", place=str(copy))
            check_known(revision, Place(copy))
    finally:
        engine.dispose()


def _kept_apart(place: Place, file: Path, *, over: bool) -> Path | None:
    """A copy of the journal that is about to be replaced; ``None`` where it is empty.

    One that cannot be copied any more is moved aside as it is.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
    kept = file.with_name(f"{file.stem}-replaced-{stamp}.sqlite")
    try:
        with explained(str(place)):
            if _holds_nothing(place):
                return None
            if over:
                back_up(place, kept)
    except JournalTrouble as trouble:
        if trouble.key not in ("journal-damaged", "journal-foreign", "journal-newer"):
            raise
        if over:
            for old, new in zip((file, *_beside(file)), (kept, *_beside(kept)), strict=True):
                if old.exists():
                    old.rename(new)
    if not over:
        raise JournalTrouble("journal-not-empty", place=str(place))
    return kept


def _holds_nothing(place: Place) -> bool:
    engine = writer(place)
    try:
        bring_up(engine, place)
        with engine.begin() as connection:
            return is_empty(connection)
    finally:
        engine.dispose()


def _into_server(copy: Path, place: Place) -> Contents:
    source, target = reader(Place(copy)), writer(place)
    try:
        bring_up(target, place)
        with source.begin() as rows, target.begin() as connection:
            if revision_of(rows) != HEAD:
                raise JournalTrouble("journal-older", place=str(copy))
            if not is_empty(connection):
                raise JournalTrouble("server-not-empty", place=str(place))
            copy_rows(rows, connection)
            held = contents(connection)
            _compare(held, contents(rows), copy)
        return held
    finally:
        source.dispose()
        target.dispose()


def _raw(file: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(file, timeout=30.0)
    connection.execute("PRAGMA synchronous=EXTRA")
    return connection


def _beside(file: Path) -> tuple[Path, ...]:
    return tuple(file.with_name(f"{file.name}{end}") for end in ("-wal", "-shm", "-journal"))
