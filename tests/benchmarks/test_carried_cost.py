"""The section on carrying a tank on says what was measured, and measures what it says."""

from __future__ import annotations

import json
from dataclasses import asdict, replace

import pytest
from benchmarks.carried import (
    CarriedCost,
    Log,
    Took,
    aims,
    from_json,
    measured,
    read_tank,
    section,
)

SHORT = Log(30, 40, 9.0, 0.6, Took(0.4, 0.5, 1.5, 0, 200.0), Took(2.0, 4.0, 1.6, 3, 300.0))
LONG = replace(SHORT, days=60, readings=80, memory_gb=0.7, at_once=Took(0.9, 1.1, 7.5, 0, 90.0))
FOUND = CarriedCost(1000, 30, (SHORT, LONG), 41.0)


def test_a_log_of_sixty_days_is_read_on_forty() -> None:
    tank = read_tank(60)
    days = sorted({r.at.date() for r in tank.readings})
    assert len(days) == 40
    assert (days[-1] - tank.filled).days == 59
    assert {r.quantity for r in tank.readings} == {"ammonia", "nitrite"}


def test_the_section_tells_times_beside_load_and_growth() -> None:
    text = section(FOUND)
    assert "| 60 | 80 | 9.0 | 0.90 | 1.10 | 7.5 | 2.00 | 4.00 | 1.6 | 3 |" in text
    assert "2.0 times the days take 2.2 times the processor seconds at once, 1.0 times" in text
    assert "0.70 GB" in text


def test_aims_are_held_against_the_log_they_speak_of() -> None:
    found = {what: (value, aim) for what, _, value, aim in aims(FOUND)}
    assert found["a new reading, at once, 60 days, 1000 members"] == (0.9, 0.8)
    assert found["a new reading, replaced, 60 days, 1000 members"] == (2.0, 6.0)
    assert found["largest memory carrying a tank on, 60 days, 1000 members"] == (0.7, 1.0)


def test_what_is_written_is_read_again() -> None:
    assert from_json(json.dumps(asdict(FOUND))) == FOUND


@pytest.mark.slow
def test_a_short_log_is_really_timed() -> None:
    found = measured(200, 5, 1, (12,))
    (log,) = found.logs
    assert 0.0 < log.at_once.seconds < log.first_s
    assert 1 <= log.replaced.sweeps <= 12
    assert found.kept_mb > 1.0
