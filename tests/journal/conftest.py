"""A fresh journal for each test: in a file, and on a PostgreSQL server where one is named.

``WATERVANE_TEST_POSTGRESQL`` is the address of a server on which databases may be made;
`.ci/run` starts one.
"""

from __future__ import annotations

import os
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from watervane.journal import Journal, Place, place_of

sys.path.insert(0, str(Path(__file__).parents[1] / "exchange"))

SERVER = os.environ.get("WATERVANE_TEST_POSTGRESQL", "")
BACKENDS = ["sqlite", "postgresql"] if SERVER else ["sqlite"]


@pytest.fixture(params=BACKENDS)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    if request.param == "sqlite":
        yield Place(tmp_path / "data" / "journal.sqlite")
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


@pytest.fixture
def journal(place: Place) -> Iterator[Journal]:
    opened = Journal(place)
    yield opened
    opened.close()


@pytest.fixture
def file_place(tmp_path: Path) -> Place:
    return Place(tmp_path / "data" / "journal.sqlite")
