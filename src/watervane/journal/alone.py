"""One worker a journal: a lock that its process holds and the system lets go of with it."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import NullPool, create_engine

from watervane.journal.places import Place
from watervane.journal.troubles import explained

_WORKER_LOCK = 0x57564A57  # the advisory lock of the worker of a PostgreSQL journal


@contextmanager
def alone(place: Place) -> Iterator[bool]:
    """Hold the worker's place for the length of the block; whether it was free."""
    with explained(str(place)):
        if place.file is not None:
            place.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            with _file_lock(place.file.with_name(f"{place.file.name}.worker")) as held:
                yield held
        else:
            with _server_lock(place) as held:
                yield held


@contextmanager
def _file_lock(file: Path) -> Iterator[bool]:
    descriptor = os.open(file, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        yield _locked(descriptor)
    finally:
        os.close(descriptor)  # lets go of the lock, as the end of the process would


def _locked(descriptor: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415 - of one system only

            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415 - of the others

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


@contextmanager
def _server_lock(place: Place) -> Iterator[bool]:
    if place.url is None:
        raise ValueError("not a server")
    engine = create_engine(place.url, poolclass=NullPool, isolation_level="AUTOCOMMIT")
    try:
        with engine.connect() as connection:
            asked = connection.exec_driver_sql(f"SELECT pg_try_advisory_lock({_WORKER_LOCK})")
            yield bool(asked.scalar_one())
    finally:
        engine.dispose()
