"""A fresh journal for each test, of every kind; see `fresh_places`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fresh_places import BACKENDS, fresh_place

from watervane.journal import Journal, Place

sys.path.insert(0, str(Path(__file__).parents[1] / "exchange"))

AT_WORK = {"journal", "pair"}  # the steps themselves are held by tests that name none of these


@pytest.fixture(params=BACKENDS)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """Empty, but where a journal is at work: its tables are there, made once for all tests."""
    at_work = not AT_WORK.isdisjoint(request.fixturenames)
    with fresh_place(request.param, tmp_path, ready=at_work) as found:
        yield found


@pytest.fixture
def journal(place: Place) -> Iterator[Journal]:
    opened = Journal(place)
    yield opened
    opened.close()


@pytest.fixture
def file_place(tmp_path: Path) -> Place:
    return Place(tmp_path / "data" / "journal.sqlite")
