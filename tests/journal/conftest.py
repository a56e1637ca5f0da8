"""A fresh journal for each test, of every kind; see `fresh_places`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fresh_places import BACKENDS, fresh_place

from watervane.journal import Journal, Place

sys.path.insert(0, str(Path(__file__).parents[1] / "exchange"))


@pytest.fixture(params=BACKENDS)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    with fresh_place(request.param, tmp_path) as found:
        yield found


@pytest.fixture
def journal(place: Place) -> Iterator[Journal]:
    opened = Journal(place)
    yield opened
    opened.close()


@pytest.fixture
def file_place(tmp_path: Path) -> Place:
    return Place(tmp_path / "data" / "journal.sqlite")
