"""A month of keeping a tank from the shell, each command killed at will and sent again."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from datetime import date, timedelta
from pathlib import Path

import pytest

from watervane.exchange import parse_tank_text
from watervane.records import Feed, WaterChange

FIRST = date(2026, 3, 2)
ADD = ("tank", "add", "Study", "filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")


def lines() -> list[tuple[str, ...]]:
    """What is told in thirty days."""
    told: list[tuple[str, ...]] = []
    for count in range(30):
        day = FIRST + timedelta(days=count)
        told.append(("record", "feed", "1 pinch", "--at", f"{day} 18:00"))
        if count % 3 == 0:
            value = f"{0.1 * (1 + count / 3):.1f} mg/L as N"
            told.append(("record", "reading", "ammonia", value, "--at", f"{day} 19:00"))
        if count % 7 == 6:
            told.append(("record", "water-change", "25 %", "--at", str(day)))
    return told


def run(words: tuple[str, ...], journal: Path, killed_after_s: float | None = None) -> str | None:
    """What a command answered; ``None`` where it was killed before it ended."""
    started = subprocess.Popen(
        [sys.executable, "-m", "watervane", *words],
        env={**os.environ, "WATERVANE_JOURNAL": str(journal)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    if killed_after_s is not None:
        time.sleep(killed_after_s)
        started.kill()
    out, err = started.communicate()
    if started.returncode < 0:
        return None
    assert started.returncode == 0, err
    return out


@pytest.mark.slow
def test_a_month_from_the_shell_loses_nothing_and_keeps_nothing_twice(tmp_path: Path) -> None:
    journal = tmp_path / "data" / "journal.sqlite"
    chance = random.Random(4)  # noqa: S311 - a moment, not a secret
    begun = time.monotonic()
    run(ADD, journal)
    usual_s = time.monotonic() - begun
    killed = repeated = 0
    for count, words in enumerate(lines()):
        whole = (*words, "--key", f"line-{count}")
        if run(whole, journal, chance.uniform(0.5, 1.3) * usual_s) is None:
            killed += 1
            answer = run(whole, journal)
            assert answer is not None
            repeated += "was not written again" in answer
    shown = run(("tank", "show", "Study", "--file"), journal)
    assert shown is not None
    tank = parse_tank_text(shown)
    print(f"{len(lines())} lines, {killed} killed, {repeated} of these kept without an answer")
    assert killed > 5
    assert [e.at.day for e in tank.events if isinstance(e, Feed)] == [
        (FIRST + timedelta(days=count)).day for count in range(30)
    ]
    assert [r.value.raw for r in tank.readings] == [
        f"{0.1 * n:.1f} mg/L as N" for n in range(1, 11)
    ]
    assert sum(isinstance(event, WaterChange) for event in tank.events) == 4
    assert "Nothing is wrong" in (run(("look-over",), journal) or "")
