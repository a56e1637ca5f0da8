"""A reading lies in a range or not, and counts say which forecasts claimed too much."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from validation.counting import Beside, Tally, tally
from validation.sentences import chance_text, judged
from validation.timing import _first_low_again, _first_there

from watervane.records import OWN, Mark, Reading, ReadingValue, ScoreRow

START = datetime(2026, 3, 1, 12, tzinfo=UTC)


def row(place: tuple[float, float] | None) -> Beside:
    reading = Reading(START, "ammonia", ReadingValue("exact", 1.0, 1.0), kit="drop")
    scored = None
    if place is not None:
        marks = {OWN: Mark(1.0, 0.2, place)}
        scored = ScoreRow(START, START, "ammonia", "1", marks, "drop")
    return Beside(reading, (0.8, 1.2), (1.0, 2.0, 3.0, 4.0, 5.0), scored)


@pytest.mark.parametrize(
    ("place", "narrowest", "side"),
    [
        ((0.4, 0.5), 0.5, 0),
        ((0.1, 0.3), 0.8, 0),
        ((0.05, 0.1), 0.9, 0),
        ((0.0, 0.04), None, -1),
        ((0.97, 1.0), None, 1),
        (None, None, 0),
    ],
)
def test_the_middle_of_a_step_decides_the_range(
    place: tuple[float, float] | None, narrowest: float | None, side: int
) -> None:
    found = row(place)
    assert (found.narrowest, found.side) == (narrowest, side)


def test_misses_are_counted_on_their_side_and_steps_in_part() -> None:
    told = tally([row((0.97, 1.0)), row((0.0, 0.02)), row((0.2, 0.3)), row(None)])
    assert (told.count, told.above, told.below) == (3, 1, 1)
    assert told.inside == pytest.approx((0.5, 1.0, 1.0))


def test_a_small_chance_is_not_printed_as_none() -> None:
    assert chance_text(-np.log(0.25)) == "25.0 %"
    assert chance_text(20.0) == "under 0.1 %"


@pytest.mark.parametrize(
    ("met", "verdict"),
    [(8, "about as often as claimed"), (7, "less often than claimed"), (4, "far less often")],
)
def test_the_verdict_follows_the_figures(met: int, verdict: str) -> None:
    told = Tally(10, (5.0, met, 9.0), 0, 10 - met)
    assert judged(told).startswith(verdict)
    assert judged(Tally(3, (0.0, 0.0, 0.0), 3, 0)) == "too few to judge"


def test_timing_is_taken_from_readings_alone() -> None:
    days = np.array([0.0, 2.0, 5.0, 7.0])
    levels = np.array([[0.1, 3.0, 2.0], [0.2, 1.0, 2.0], [0.1, 0.1, 2.0], [0.0, 0.9, 2.0]])
    assert _first_low_again(levels, days).tolist() == [np.inf, 5.0, np.inf]
    assert _first_there(levels, days).tolist() == [np.inf, 0.0, 0.0]
