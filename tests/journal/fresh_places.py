"""A fresh journal's place for a test: in a file, and on a PostgreSQL server where one is named.

``WATERVANE_TEST_POSTGRESQL`` is the address of a server on which databases may be made;
`.ci/run` starts one.
"""

from __future__ import annotations

import atexit
import os
import ssl
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from sqlalchemy import URL, Engine, NullPool, create_engine

from watervane.journal import Journal, Place, place_of
from watervane.records import Person

SERVER = os.environ.get("WATERVANE_TEST_POSTGRESQL", "")
BACKENDS = ["sqlite", "postgresql"] if SERVER else ["sqlite"]


@contextmanager
def fresh_place(backend: str, folder: Path, *, ready: bool = False) -> Iterator[Place]:
    """A place where no journal is yet; a database made for it is dropped at the end.

    A ``ready`` one is a copy of an empty journal, to which all steps were taken once.
    """
    if backend == "sqlite":
        place = Place(folder / "data" / "journal.sqlite")
        if ready and place.file is not None:
            place.file.parent.mkdir(parents=True, mode=0o700)
            place.file.write_bytes(_empty_file())
        yield place
        return
    with pytest.MonkeyPatch.context() as patch:
        # Each connection reads all the machine's certificates, though the server knows none.
        patch.setattr(ssl, "create_default_context", _certificates)
        name = _database(_empty_database() if ready else None)
        yield Place(url=_server().set(database=name))
        _dropped(name)


_certificates = cache(ssl.create_default_context)


@cache
def _empty_file() -> bytes:
    with TemporaryDirectory() as folder:
        place = Place(Path(folder, "journal.sqlite"))
        _brought_up(place)
        assert place.file is not None
        return place.file.read_bytes()


@cache
def _empty_database() -> str:
    name = _database()
    _brought_up(Place(url=_server().set(database=name)))
    atexit.register(_dropped, name)
    return name


def _brought_up(place: Place) -> None:
    journal = Journal(place)
    with journal.looking(Person()):
        pass
    journal.close()


def _server() -> URL:
    server = place_of(SERVER)
    assert server.url is not None
    return server.url


@cache
def _admin() -> Engine:
    return create_engine(_server(), isolation_level="AUTOCOMMIT", poolclass=NullPool)


def _database(of: str | None = None) -> str:
    name = f"watervane_{uuid.uuid4().hex}"
    with _admin().connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name} TEMPLATE {of or 'template1'}")
    return name


def _dropped(name: str) -> None:
    with _admin().connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")


def address_of(place: Place) -> str:
    """A place as the variable WATERVANE_JOURNAL names it."""
    if place.url is not None:
        return place.url.set(drivername="postgresql").render_as_string(hide_password=False)
    return str(place.file)
