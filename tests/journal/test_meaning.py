"""Any tank that can be described means the same after it went through the journal."""

from __future__ import annotations

import dataclasses
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from logs import note, small_tank, without_lines, written
from sample_files import FULL
from tanks import tanks

from watervane.exchange import parse_tank_text, write_tank_file
from watervane.journal import Journal, Place
from watervane.records import Note, Person, Tank, Written

ME = Person("me")


def through(journal: Journal, tank: Tank) -> Tank:
    """A tank written to a journal and read back."""
    with journal.writing(ME, what="add") as work:
        key = work.add_tank(tank).tank
    with journal.looking(ME) as look:
        found = look.tank(key)
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)  # the next tank may have the same name
    return found


def any_tank_comes_back(examples: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        journal = Journal(Place(Path(folder) / "journal.sqlite"))

        @settings(max_examples=examples, deadline=None)
        @given(tanks())
        def comes_back(tank: Tank) -> None:
            assert through(journal, tank) == dataclasses.replace(tank, owner="me")

        comes_back()
        journal.close()


def test_any_tank_comes_back_exactly() -> None:
    any_tank_comes_back(18)


@pytest.mark.slow
def test_any_of_many_tanks_comes_back_exactly() -> None:
    any_tank_comes_back(200)


def test_a_tank_file_means_the_same_after_a_journal(journal: Journal) -> None:
    tank = parse_tank_text(FULL)
    found = through(journal, tank)
    assert found == dataclasses.replace(without_lines(tank), owner="me")
    assert write_tank_file(found) == write_tank_file(tank)


Step = tuple[str, int]
STEPS = st.lists(
    st.tuples(st.sampled_from(("record", "correct", "undo", "undo entry")), st.integers(0, 99)),
    max_size=12,
)


def test_any_sequence_of_writing_correcting_undoing_and_moving_leaves_what_should_stand() -> None:
    settings(max_examples=10, deadline=None)(given(STEPS)(leaves_what_should_stand))()


@pytest.mark.slow
def test_any_of_many_sequences_leaves_what_should_stand() -> None:
    settings(max_examples=100, deadline=None)(given(STEPS)(leaves_what_should_stand))()


def leaves_what_should_stand(steps: list[Step]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        journal = Journal(Place(Path(folder) / "journal.sqlite"))
        with journal.writing(ME, what="add") as work:
            key = work.add_tank(small_tank()).tank
        chains: list[list[str]] = []  # of each entry that was written, what corrected it in turn
        order: list[int] = []  # the chain each write belongs to, undone ones left out
        for count, (step, pick) in enumerate(steps):
            take(journal, key, step, pick, f"text {count}", chains, order)
            with journal.looking(ME) as look:
                events = look.tank(key).events
            found = [event.text for event in events if isinstance(event, Note)]
            assert found == [chain[-1] for chain in chains if chain], (step, pick)
        with journal.looking(ME) as look:
            tank = look.tank(key)
        journal.close()
        other = Journal(Place(Path(folder) / "other.sqlite"))
        assert through(other, parse_tank_text(write_tank_file(tank))) == tank
        other.close()


def take(
    journal: Journal,
    key: str,
    step: str,
    pick: int,
    text: str,
    chains: list[list[str]],
    order: list[int],
) -> None:
    """One step on the journal, and the same on the plain lists beside it."""
    alive = [index for index, chain in enumerate(chains) if chain]
    if step == "record":
        with journal.writing(ME, what=step) as work:
            work.record(key, written(note(text)))
        order.append(len(chains))
        chains.append([text])
        return
    if not alive:
        return
    chosen = alive[pick % len(alive)]
    with journal.looking(ME) as look:
        number = next(
            entry.number
            for entry in look.entries(key)
            if isinstance(entry.what, Note) and entry.what.text == chains[chosen][-1]
        )
    with journal.writing(ME, what=step) as work:
        if step == "correct":
            work.correct(number, Written(note(text)))
            chains[chosen].append(text)
            order.append(chosen)
        elif step == "undo":
            work.undo_last(key)
            chains[order.pop()].pop()
        else:
            work.undo_entry(number)
            chains[chosen].pop()
            del order[len(order) - 1 - order[::-1].index(chosen)]
