"""A fresh journal's place for a test: in a file, and on a PostgreSQL server where one is named.

``WATERVANE_TEST_POSTGRESQL`` is the address of a server on which databases may be made;
`.ci/run` starts one.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import create_engine

from watervane.journal import Place, place_of

SERVER = os.environ.get("WATERVANE_TEST_POSTGRESQL", "")
BACKENDS = ["sqlite", "postgresql"] if SERVER else ["sqlite"]


@contextmanager
def fresh_place(backend: str, folder: Path) -> Iterator[Place]:
    """A place where no journal is yet; a database made for it is dropped at the end."""
    if backend == "sqlite":
        yield Place(folder / "data" / "journal.sqlite")
        return
    name = f"watervane_{uuid.uuid4().hex}"
    server = place_of(SERVER)
    assert server.url is not None
    admin = create_engine(server.url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    yield Place(url=server.url.set(database=name))
    with admin.connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")
    admin.dispose()


def address_of(place: Place) -> str:
    """A place as the variable WATERVANE_JOURNAL names it."""
    if place.url is not None:
        return place.url.set(drivername="postgresql").render_as_string(hide_password=False)
    return str(place.file)
