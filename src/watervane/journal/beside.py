"""Small files that lie beside a journal, carried along in its copies.

They stand in a table of their own that no schema knows, so that a copy stays one file; a journal
that a copy was put into has the table no more.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Mapping
from contextlib import closing, suppress
from pathlib import Path

from watervane.journal.connections import connected_for_reading

_TABLE = "files_beside"


def put_along(copy: Path, files: Mapping[str, bytes]) -> None:
    """Let a copy carry files, by their names.

    Raises
    ------
    sqlite3.Error
        Where it cannot be written.
    """
    if not files:
        return
    with closing(sqlite3.connect(copy)) as target, target:
        target.execute(f"CREATE TABLE {_TABLE} (name TEXT PRIMARY KEY, data BLOB NOT NULL)")
        target.executemany(f"INSERT INTO {_TABLE} VALUES (?, ?)", sorted(files.items()))  # noqa: S608 - no word of others


def carried(copy: Path) -> dict[str, bytes]:
    """What a copy carries; nothing where it was made by an earlier program."""
    with closing(connected_for_reading(copy)) as source:
        told = source.execute("SELECT name FROM sqlite_master WHERE name = ?", (_TABLE,)).fetchone()
        if told is None:
            return {}
        return dict(source.execute(f"SELECT name, data FROM {_TABLE}").fetchall())  # noqa: S608 - no word of others


def lay_beside(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put files where they belong, for their owner's eyes; one that lies there already stays.

    Parameters
    ----------
    folder
        It is made where there is none.
    files
        By plain names.

    Raises
    ------
    OSError
        Where one cannot be written.
    """
    for name, data in files.items():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with suppress(FileExistsError):
            opened = os.open(folder / name, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            with os.fdopen(opened, "wb") as written:
                written.write(data)
                written.flush()
                os.fsync(written.fileno())


def take_out(target: sqlite3.Connection) -> None:
    """A journal itself carries nothing."""
    target.execute(f"DROP TABLE IF EXISTS {_TABLE}")
    target.commit()
