"""The plug is pulled at any moment: what was told to be kept is there, and the journal opens."""

from __future__ import annotations

import random
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest
from logs import note, written
from plug import AT_ONCE, ME, Step, crashed, statements_of_a_writer, steps_of
from sqlalchemy.exc import SQLAlchemyError

from watervane.journal import Journal, JournalTrouble, Place
from watervane.records import Note

WRITES = 25
BEFORE = 2  # commits before the first note: the tables, and the tank


@dataclass
class Found:
    """What crashes came to."""

    crashes: int = 0
    told: int = 0
    lost: int = 0  # writes that were told of and are not there
    torn: int = 0  # writes that are there in part, or out of their order
    unopened: int = 0


def texts(journal: Journal) -> list[str]:
    with journal.looking(ME) as look:
        tanks = look.tanks()
        events = look.tank(tanks[0].key).events if tanks else ()
    return [event.text for event in events if isinstance(event, Note)]


def look_after(folder: Path, told: int, found: Found) -> None:
    """Open what a crash left, count what is missing, and write on."""
    place = Place(folder / "journal.sqlite")
    journal = Journal(place)
    found.crashes += 1
    found.told += told
    try:
        there = texts(journal)
        if told >= BEFORE:
            with journal.writing(ME, what="record") as work:
                work.record(work.tanks()[0].key, written(note("after")))
    except (JournalTrouble, IndexError, SQLAlchemyError):
        found.unopened += 1
        return
    finally:
        journal.close()
    whole = [f"{index} {part}" for index in range(WRITES) for part in range(AT_ONCE)]
    found.torn += there != whole[: len(there)] or len(there) % AT_ONCE != 0
    found.lost += max(0, told - BEFORE - len(there) // AT_ONCE)
    with closing(sqlite3.connect(folder / "journal.sqlite")) as connection:
        found.unopened += connection.execute("PRAGMA integrity_check").fetchall() != [("ok",)]


def crashes(steps: list[Step], count: int, seed: int) -> Found:
    """Crash at so many moments."""
    chance = random.Random(seed)  # noqa: S311 - a moment, not a secret
    found = Found()
    for _ in range(count):
        with tempfile.TemporaryDirectory() as folder:
            at = chance.randrange(len(steps) + 1)
            look_after(Path(folder), crashed(steps, at, chance, Path(folder)), found)
    print(found)
    return found


@pytest.fixture
def statements(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    return statements_of_a_writer(tmp_path, WRITES, monkeypatch)


def test_a_pulled_plug_loses_nothing_that_was_told_to_be_kept(
    statements: list[str], tmp_path: Path
) -> None:
    steps = steps_of(statements, tmp_path)
    assert sum(step.what == "told" for step in steps) == WRITES + BEFORE
    assert sum(step.what == "sync" and step.file == "journal.sqlite" for step in steps) > 5
    found = crashes(steps, 60, 1)
    assert found.told > 60 * WRITES / 4
    assert (found.lost, found.torn, found.unopened) == (0, 0, 0)


@pytest.mark.slow
def test_a_thousand_pulled_plugs_lose_nothing(statements: list[str], tmp_path: Path) -> None:
    found = crashes(steps_of(statements, tmp_path), 1000, 2)
    assert (found.lost, found.torn, found.unopened) == (0, 0, 0)


def test_without_waiting_for_the_disk_writes_would_be_lost(
    statements: list[str], tmp_path: Path
) -> None:
    """The same crashes where SQLite does not sync: the check above can fail."""
    found = crashes(steps_of(statements, tmp_path, waiting=False), 40, 3)
    assert found.lost + found.unopened + found.torn > 0
