"""A log foretold again and again, its later readings scored."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.engine.reading_marks import score_row
from watervane.engine.replay import TooFewDays, ladder, replay
from watervane.engine.rivals import rivals
from watervane.engine.showable import showable
from watervane.process.calendar import Calendar
from watervane.records import (
    COVERED,
    LAST_VALUE,
    OWN,
    PRIOR,
    RULE,
    TREND,
    AnimalsIn,
    Feed,
    Habit,
    Kit,
    KitScale,
    Reading,
    ReadingValue,
    Scores,
    Span,
    Tank,
)

START = datetime(2026, 3, 1, 18, tzinfo=ZoneInfo("UTC"))
KITS = {
    "drop": Kit("drop", "drop", (KitScale("ammonia", (0.0, 0.3, 0.7, 1.5, 3.0), "n"),)),
    "meter": Kit("meter", "probe", (KitScale("ph", resolution=0.1),)),
    "cell": Kit("cell", "photometer", (KitScale("nitrite", (), "n", 0.01, 0.6),)),
}


def reading(day: float, low: float, quantity: str = "ammonia", **more: Any) -> Reading:
    kind = str(more.pop("kind", "exact"))
    high = None if kind == "above" else more.pop("high", low)
    value = ReadingValue(kind, low, high, "none" if quantity == "ph" else "n", f"{low}")
    return Reading(START + timedelta(days=day), quantity, value, **more)


TANK = Tank(
    name="small",
    filled=START.date(),
    volume_l=54.0,
    kits=KITS,
    events=(AnimalsIn(at=START + timedelta(days=1), species="Danio rerio", count=6),),
    habits=(
        Habit(
            template=Feed(at=START, mass_g=Span(0.02, 0.08)), every_days=1, start=date(2026, 3, 2)
        ),
    ),
    readings=(
        reading(4, 0.3, kit="drop"),
        reading(4, 7.4, "ph", kit="meter"),
        reading(6, 0.7, kit="drop"),
        reading(9, 0.3, kit="drop", kind="range", high=0.7),
        reading(9, 0.05, "nitrite", kit="cell"),
        reading(9, 7.3, "ph", kit="meter"),
        reading(9, 24.0, "temperature"),
    ),
)
CALENDAR = Calendar(TANK.filled, TANK.time_zone)


def run(tank: Tank = TANK, **more: Any) -> Scores:
    return replay(tank, **({"members": 60, "threads": 1} | more))


@pytest.fixture(scope="module")
def scores() -> Scores:
    return run()


def test_each_moment_scores_what_came_after_it(scores: Scores) -> None:
    assert [m.readings_used for m in scores.moments] == [2, 3]
    told = [(row.as_of - START, row.at - START, row.quantity) for row in scores.rows]
    day = timedelta(days=1)
    assert told == [
        (4 * day, 6 * day, "ammonia"),
        *[(4 * day, 9 * day, q) for q in ("ammonia", "nitrite", "ph")],
        *[(6 * day, 9 * day, q) for q in ("ammonia", "nitrite", "ph")],
    ]
    assert scores.findings[0].arguments == {"left": 1, "told": 7}


def test_rivals_speak_where_they_have_something_to_go_by(scores: Scores) -> None:
    marks = {(row.as_of - START).days * 10 + i: row.marks for i, row in enumerate(scores.rows)}
    assert {OWN, PRIOR} <= set.intersection(*(set(m) for m in marks.values()))
    first, last = scores.rows[0], scores.rows[-3]
    assert LAST_VALUE in first.marks
    assert TREND not in first.marks
    assert TREND in last.marks
    unread = next(row for row in scores.rows if row.quantity == "nitrite")
    assert set(unread.marks) == {OWN, PRIOR}


def test_marks_are_numbers_and_summaries_their_means(scores: Scores) -> None:
    for row in scores.rows:
        for mark in row.marks.values():
            assert np.isfinite([mark.log_score, mark.crps]).all()
            assert 0.0 <= mark.place[0] <= mark.place[1] <= 1.0 + 1e-12
    one = next(s for s in scores.summaries if (s.quantity, s.forecaster) == ("ammonia", OWN))
    own = [row.marks[OWN] for row in scores.rows if row.quantity == "ammonia"]
    assert one.count == len(own) == 3
    assert one.crps == pytest.approx(np.mean([m.crps for m in own]))
    assert one.log_score == pytest.approx(np.mean([m.log_score for m in own]))
    assert len(one.covered) == len(COVERED)
    assert list(one.covered) == sorted(one.covered)


def test_the_future_is_left_out(scores: Scores) -> None:
    other = replace(TANK.readings[3], value=ReadingValue("exact", 3.0, 3.0, "n", "3"))
    tank = replace(TANK, readings=(*TANK.readings[:3], other, *TANK.readings[4:]))
    changed = run(tank, every_days=6)
    assert len(changed.rows) == 4
    for before, after in zip(scores.rows, changed.rows, strict=False):
        if before.raw == after.raw:
            assert before.marks == after.marks
    assert changed.rows[1].marks[OWN].log_score > scores.rows[1].marks[OWN].log_score + 1.0


def test_the_ladder_is_thinned_or_as_asked() -> None:
    daily = [reading(day, 0.3) for day in range(30)]
    assert len(ladder(daily, CALENDAR, None)) == 8
    assert ladder(daily, CALENDAR, None)[-1] == START + timedelta(days=28)
    weekly = ladder(daily, CALENDAR, 7)
    assert [(at - START).days for at in weekly] == [0, 7, 14, 21, 28]


def test_one_day_of_readings_is_too_few() -> None:
    with pytest.raises(TooFewDays):
        run(replace(TANK, readings=TANK.readings[:2]))
    with pytest.raises(TooFewDays):
        run(replace(TANK, readings=()))


@pytest.mark.parametrize(
    "one",
    [
        reading(9, 0.7, kit="drop"),
        reading(9, 0.7),
        reading(9, 0.05, "nitrite", kit="cell"),
        reading(9, 7.4, "ph", kit="meter"),
        reading(9, 7.4, "ph"),
        reading(9, 7.4, "ph", kit="drop"),
    ],
)
def test_what_could_be_shown_leaves_no_gap(one: Reading) -> None:
    found = showable(TANK, one)
    cells = found.cells[:-1]
    assert cells[0].low == -np.inf
    assert cells[-1].high == np.inf
    gaps = [a.high - b.low for a, b in pairwise(cells)]
    assert np.abs(gaps).max() < 1e-9
    assert sum(cell.stray for cell in cells) == pytest.approx(1.0)
    assert (np.diff(found.values) > 0.0).all()
    told = rivals([replace(one, at=START + timedelta(days=d)) for d in (3, 5)], found, CALENDAR)
    for chances in told.values():
        assert chances[:-1].sum() == pytest.approx(1.0)
        assert 0.0 < chances[-1] <= 1.0


def test_more_than_a_value_is_met_by_all_that_lies_over_it() -> None:
    one = showable(TANK, reading(9, 1.5, kind="above"))
    by = {"high": np.zeros(len(one.values) + 1), "low": np.zeros(len(one.values) + 1)}
    by["high"][int(np.searchsorted(one.values, 5.0))] = 1.0
    by["low"][int(np.searchsorted(one.values, 0.5)) - 1] = 1.0
    marks = score_row(START, one, by).marks
    assert marks["high"].crps == 0.0
    assert marks["low"].crps > 1.0


def test_a_log_that_shows_settling_scores_its_date() -> None:
    low = [reading(d, v, q) for d in (16, 19, 23) for q, v in (("ammonia", 0.0), ("nitrite", 0.0))]
    early = [reading(3, 0.7), reading(8, 0.7), reading(8, 0.5, "nitrite"), reading(13, 0.3)]
    scores = run(replace(TANK, kits={}, readings=(*early, *low)), every_days=12)
    assert scores.settled is not None
    assert [(at - START).days for at in scores.settled] == [13, 16]
    scored = [moment.settled for moment in scores.moments]
    assert [bool(marks) for marks in scored] == [True, False]
    assert set(scored[0]) == {OWN, PRIOR, RULE}
    # The rule says day 28 to 42, all of it past the log's end on day 23.75: a sure wrong date.
    assert scored[0][RULE].crps_d == pytest.approx(23.75 - 15.25)
    assert scores.settled_reason is None
