"""Connections to a journal: one writer at a time, readers that cannot write."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, NullPool, QueuePool, create_engine, event
from sqlalchemy.exc import NoSuchModuleError
from sqlalchemy.util import LRUCache

from watervane.journal.places import Place
from watervane.journal.troubles import JournalTrouble

APPLICATION_ID = 0x57564A4E  # marks the file as a journal
BUSY_S = 30.0  # how long a writer waits for another
_STATEMENTS = 500  # compiled and kept
_WRITERS_LOCK = 0x57564A4E  # the advisory lock that lets one writer at a time into PostgreSQL


def writer(place: Place) -> Engine:
    """An engine whose transactions begin by taking the only writer's place."""
    if place.file is not None:
        engine = _sqlite(lambda: connected(_file(place), "rwc"), QueuePool)
        event.listen(engine, "begin", _begin_immediate)
        return engine
    engine = _postgresql(place)
    event.listen(engine, "begin", _lock_out_writers)
    return engine


def reader(place: Place) -> Engine:
    """An engine whose transactions see one moment of the journal and cannot write."""
    if place.file is not None:
        engine = _sqlite(lambda: connected_for_reading(_file(place)), NullPool)
        event.listen(engine, "begin", _begin)
        return engine
    return _postgresql(
        place, isolation_level="REPEATABLE READ", execution_options={"postgresql_readonly": True}
    )


def connected(file: Path, mode: str) -> sqlite3.Connection:
    """Open a file for writing; each commit is on the disk when it returns."""
    connection = _opened(f"{_address(file)}?mode={mode}")
    # Until the switch is made, EXTRA: else the roll-back journal of the switch itself, whose
    # deletion FULL does not wait for, may be back after a power cut and undo all since.
    connection.execute("PRAGMA synchronous=EXTRA")
    _write_ahead(connection)
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA foreign_keys=ON")
    return connection


def connected_for_reading(file: Path) -> sqlite3.Connection:
    """Open a file for reading, on a folder that may be read-only, too."""
    try:
        connection = _reading(file, "mode=ro")
    except sqlite3.OperationalError as error:
        log = file.with_name(f"{file.name}-wal")
        unfinished = log.exists() and log.stat().st_size > 0
        if unfinished and error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_READONLY:
            # After a power cut the write-ahead journal has to be gone through, by a writer.
            connected(file, "rw").close()
            connection = _reading(file, "mode=ro")
        elif file.is_file() and not unfinished:
            # A reader of a write-ahead journal makes a file of its own beside it. Where it cannot,
            # and no unfinished journal lies there, nobody can be writing either.
            connection = _reading(file, "mode=ro&immutable=1")
        else:
            raise
    connection.execute("PRAGMA query_only=ON")
    return connection


def _reading(file: Path, how: str) -> sqlite3.Connection:
    connection = _opened(f"{_address(file)}?{how}")
    try:
        connection.execute("SELECT count(*) FROM sqlite_master")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _file(place: Place) -> Path:
    if place.file is None:
        raise ValueError("not a file")
    return place.file


def _address(file: Path) -> str:
    return f"file:{quote(str(file.absolute()))}"


def _opened(address: str) -> sqlite3.Connection:
    return sqlite3.connect(
        address, uri=True, timeout=BUSY_S, isolation_level=None, check_same_thread=False
    )


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Switch to write-ahead logging; the switch itself does not wait for others, so we do."""
    until = time.monotonic() + BUSY_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.01)
        else:
            return


def _sqlite(creator: Callable[[], sqlite3.Connection], pool: type[Any]) -> Engine:
    alike, compiled = _alike()
    return Engine(
        pool(creator, dialect=alike.dialect),
        alike.dialect,
        alike.url,
        execution_options={"compiled_cache": compiled},
    )


@cache
def _alike() -> tuple[Engine, LRUCache[Any, Any]]:
    """What all engines of files share, so that a statement is compiled once for all of them."""
    engine = create_engine("sqlite://")
    with engine.connect():  # the dialect looks at its first connection
        pass
    engine.dispose()
    return engine, LRUCache(_STATEMENTS)


def _postgresql(place: Place, **options: Any) -> Engine:
    if place.url is None:
        raise ValueError("not a server")
    try:
        return create_engine(place.url, **options)
    except (ModuleNotFoundError, NoSuchModuleError):
        raise JournalTrouble("journal-driver-missing", place=str(place)) from None


def _begin(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN")


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _lock_out_writers(connection: Connection) -> None:
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})")
