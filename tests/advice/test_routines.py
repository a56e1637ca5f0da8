"""Routines worth running: laws of the screen, and what work they are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.advice.routines import (
    INTERVALS_D,
    PURE,
    SHARES,
    TAP,
    Steady,
    minutes_per_month,
    practice,
    routine,
    worth_running,
)


def _nitrate(gain: float, source: float = 2.0, bound: float = 10.0) -> Steady:
    one = np.ones(10)
    return Steady(gain * one, source * one, 0.0 * one, bound, True, 0.2)


@given(gain=st.floats(0.0, 3.0), share=st.sampled_from(SHARES), every=st.sampled_from(INTERVALS_D))
def test_more_or_more_often_never_risks_more(gain: float, share: float, every: int) -> None:
    steady = _nitrate(gain)
    risk = steady.risk(routine(share, every, TAP, 60.0, 0.2))
    assert steady.risk(routine(min(share + 0.1, 1.0), every, TAP, 60.0, 0.2)) <= risk
    if every > 7:
        assert steady.risk(routine(share, every // 2, TAP, 60.0, 0.2)) <= risk


def test_the_screen_holds_the_smallest_share_that_keeps_the_bound() -> None:
    """By hand: 0.2 mg N/L a day for 28 days over a room of 8 asks for 0.7; for 14 days 0.35."""
    found = worth_running({1.0: {"nitrate": _nitrate(0.2)}}, 60.0, 0.2)
    fortnight = sorted(r.share for r in found if (r.every_days, r.top_off) == (14, TAP))
    assert fortnight == [0.3, 0.4, 0.5]
    weekly = sorted(r.share for r in found if (r.every_days, r.top_off) == (7, TAP))
    assert weekly == [0.15, 0.2, 0.25]
    assert [r.minutes_per_month for r in found] == sorted(r.minutes_per_month for r in found)


def test_less_food_is_screened_beside_the_food_that_is_planned() -> None:
    """By hand: half of 0.2 mg N/L a day for 28 days over a room of 8 asks for 0.35, so 0.4."""
    found = worth_running(
        {1.0: {"nitrate": _nitrate(0.2)}, 0.5: {"nitrate": _nitrate(0.1)}}, 60.0, 0.2
    )
    assert len(found) == 30
    monthly = [r.share for r in found if (r.food, r.every_days, r.top_off) == (0.5, 28, TAP)]
    assert 0.4 in monthly
    assert {r.food for r in found} == {1.0, 0.5}
    rows = [(r.food, r.every_days, r.top_off) for r in found]
    assert len(set(rows)) == 16  # none is crowded out
    assert found[0].minutes_per_month == min(r.minutes_per_month for r in found)


def test_topping_off_with_pure_water_takes_the_minerals_away() -> None:
    one = np.ones(5)
    minerals = Steady(0.0 * one, 8.0 * one, 0.08 * one, 12.0, True, 0.2)
    tap, pure = (routine(0.25, 28, top_off, 60.0, 0.6) for top_off in (TAP, PURE))
    assert minerals.peak(tap) == pytest.approx(8.0 + 0.08 * 28 / 0.25)
    assert minerals.peak(pure) == pytest.approx(8.0)
    assert (minerals.risk(tap), minerals.risk(pure)) == (1.0, 0.0)


def test_buffering_is_watched_from_below() -> None:
    one = np.ones(5)
    kh = Steady(-0.05 * one, 4.0 * one, 0.0 * one, 1.0, False, 0.2)
    assert kh.risk(routine(0.5, 28, TAP, 60.0, 0.2)) == 0.0  # 4 - 0.05 x 28 / 0.5 = 1.2
    assert kh.risk(routine(0.4, 28, TAP, 60.0, 0.2)) == 1.0  # 0.5
    assert kh.risk(routine(0.0, 28, TAP, 60.0, 0.2)) == 1.0  # for ever less


def test_work_by_hand() -> None:
    """Four weeks, 15 L of 60: (8 + 0.6 x 15) x 30.44 / 28 and 2 minutes a week for topping off."""
    month = 365.25 / 12.0
    expected = 17.0 * month / 28 + 2.0 * month / 7
    assert minutes_per_month(0.25, 28, TAP, 60.0, 0.2) == pytest.approx(expected)
    carried = month * 0.2
    assert minutes_per_month(0.25, 28, PURE, 60.0, 0.2) == pytest.approx(expected + carried)
    told = practice(60.0, 0.2)
    assert (told.share, told.every_days, told.top_off, told.litres) == (0.25, 28, TAP, 15.0)
