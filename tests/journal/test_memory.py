"""What is kept of a journal is what would be read again, whoever writes meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from watervane.journal import Journal
from watervane.journal.memory import MOST, Memory
from watervane.journal.places import Place
from watervane.records import Note, Person, Tank, Written

ME = Person()
TANK = Tank(name="any", filled=date(2026, 3, 1), volume_l=57.0)


@pytest.fixture
def kept(file_place: Place) -> Iterator[Journal]:
    journal = Journal(file_place)
    yield journal
    journal.close()


def test_what_others_write_is_seen_at_once(kept: Journal, file_place: Place) -> None:
    other = Journal(file_place)
    with other.writing(ME, what="add tank") as work:
        key = work.add_tank(replace(TANK, name="Bay")).tank
    seen = []
    for turn in range(3):
        for _ in range(2):  # from the journal, then from memory
            with kept.looking(ME) as view:
                seen.append((len(view.latest(key, 9)), view.tanks()[0].name))
        with other.writing(ME, what="record") as work:
            work.record(
                key, [Written(Note(at=datetime(2026, 3, 2 + turn, tzinfo=UTC), text=f"{turn}"), "")]
            )
            if turn == 1:
                work.describe(key, replace(TANK, name="Cove"))
    assert seen == [(0, "Bay"), (0, "Bay"), (1, "Bay"), (1, "Bay"), (2, "Cove"), (2, "Cove")]
    with kept.looking(ME) as view:
        newest = view.latest(key, 9)[-1]
    with other.writing(ME, what="undo") as work:
        work.undo_entry(newest.number)
    with kept.looking(ME) as view, other.looking(ME) as fresh:
        assert view.latest(key, 9) == fresh.latest(key, 9)
        assert not view.latest(key, 9)[-1].standing
    with kept.looking(Person("another")) as view:
        assert view.tanks() == ()
    other.close()


def test_a_view_of_an_older_moment_takes_nothing_from_a_newer_one() -> None:
    memory = Memory()
    assert memory.once(5, "a", lambda: "five") == "five"
    assert memory.once(5, "a", lambda: "again") == "five"
    assert memory.once(4, "a", lambda: "four") == "four"
    assert memory.once(5, "a", lambda: "again") == "five"
    assert memory.once(6, "a", lambda: "six") == "six"
    assert memory.once(6, "b", lambda: "b") == "b"
    for each in range(MOST):
        memory.once(6, each, lambda: "more")
    assert memory.once(6, "b", lambda: "anew") == "anew"
