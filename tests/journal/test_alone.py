"""One worker a journal, whatever becomes of it."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

from fresh_places import address_of

from watervane.journal import Place, alone

HOLDS = """
import sys, time
from watervane.journal import alone, place_of

with alone(place_of(sys.argv[1])) as free:
    print(free, flush=True)
    time.sleep(600)
"""


def test_only_one_is_alone(place: Place) -> None:
    with alone(place) as first:
        assert first
        with alone(place) as second:
            assert not second
        with alone(place) as third:
            assert not third, "one that left has not made room for another"
    with alone(place) as again:
        assert again


def test_one_that_is_killed_makes_room(place: Place) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDS, address_of(place)], stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "True\n"
        with alone(place) as free:
            assert not free
        other.send_signal(signal.SIGKILL)
        other.wait()
    with alone(place) as free:
        assert free


def test_workers_of_two_journals_do_not_mind_each_other(tmp_path: Path) -> None:
    one, two = (Place(tmp_path / name / "journal.sqlite") for name in ("one", "two"))
    with alone(one) as first, alone(two) as second:
        assert (first, second) == (True, True)
