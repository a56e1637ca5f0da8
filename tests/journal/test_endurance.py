"""Killed writers lose nothing they were told was kept; several at once all get their turn."""

from __future__ import annotations

import json
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from watervane.journal import Place

SCRIPT = Path(__file__).with_name("writers.py")


def run(what: str, place: Place, first: int, second: int) -> dict[str, Any]:
    """The script in a process of its own, where forking disturbs nobody."""
    where = (
        str(place.file) if place.url is None else place.url.render_as_string(hide_password=False)
    )
    done = subprocess.run(
        [sys.executable, str(SCRIPT), what, where, str(first), str(second)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def nothing_lost(counts: dict[str, int], rounds: int) -> None:
    print(counts)
    assert counts["rounds"] == rounds
    # Three of four are killed after their first word: those were at work, however slow the machine.
    assert counts["acknowledged"] >= rounds * 3 // 4
    assert (counts["missing"], counts["halves"], counts["unsound"]) == (0, 0, 0)


def test_a_killed_writer_loses_nothing_it_was_told_was_kept(place: Place) -> None:
    nothing_lost(run("killed", place, 12, 1), 12)


@pytest.mark.slow
def test_three_hundred_killed_writers_lose_nothing(file_place: Place) -> None:
    counts = run("killed", file_place, 300, 2)
    nothing_lost(counts, 300)
    assert counts["unfinished"] > 0  # some were killed between the commit and the telling


def test_writers_at_once_all_get_their_turn_and_keep_their_order(place: Place) -> None:
    found = run("racing", place, 3, 40)
    assert found["codes"] == [0, 0, 0]
    assert found["told"] == [40, 40, 40]
    for index in range(3):
        own = [text for text in found["texts"] if text.startswith(f"writer{index} ")]
        assert own == [f"writer{index} {at} {part}" for at in range(40) for part in range(3)]
    turns = [text.split(" ")[0] for text in found["texts"][::3]]
    changes = sum(first != second for first, second in pairwise(turns))
    assert changes > 3, "the writers never met"
    for at in range(0, len(found["texts"]), 3):
        assert len({text.rpartition(" ")[0] for text in found["texts"][at : at + 3]}) == 1


def test_programs_that_make_the_journal_at_once_make_one(place: Place) -> None:
    found = run("making", place, 4, 0)
    assert found["codes"] == [0, 0, 0, 0]
    assert sorted(found["names"]) == ["tank 0", "tank 1", "tank 2", "tank 3"]
