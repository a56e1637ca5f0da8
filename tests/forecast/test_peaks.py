"""When and how high a daily mean peaks, and how members without a peak rank."""

from __future__ import annotations

from datetime import date

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from watervane.forecast.milestones import PEAK_WORTH_NAMING_MG_N_PER_L, peak_days
from watervane.forecast.quantiles import date_quantiles, number_quantiles
from watervane.process.calendar import Calendar

CALENDAR = Calendar(date(2026, 3, 1), "UTC")


def test_the_highest_daily_mean_gives_day_and_height() -> None:
    means = np.array([[0.0, 3.0], [0.5, 2.0], [0.2, 1.0]])
    days, heights = peak_days(means)
    assert days.tolist() == [1.0, 0.0]
    assert heights.tolist() == [0.5, 3.0]


def test_the_first_of_two_equal_days_is_the_peak() -> None:
    days, _ = peak_days(np.array([[0.1], [0.7], [0.7]]))
    assert days.tolist() == [1.0]


def test_a_member_without_a_peak_has_its_small_height_and_no_day() -> None:
    days, heights = peak_days(np.array([[0.02, 0.1], [0.09, 0.0]]))
    assert days.tolist() == [np.inf, 0.0]
    assert heights.tolist() == [0.09, 0.1]


def test_a_mean_a_hair_below_nothing_has_the_height_nothing() -> None:
    assert peak_days(np.array([[-1e-7], [-2e-7]]))[1].tolist() == [0.0]


def test_without_a_single_day_there_is_neither_day_nor_height() -> None:
    days, heights = peak_days(np.empty((0, 2)))
    assert not np.isfinite([days, heights]).any()


def test_members_without_a_peak_rank_last_by_date_and_lowest_by_height() -> None:
    """Of ten members, four never peak: the upper quantiles of the height are of those that do."""
    never, peaked = np.full((3, 4), 0.05), np.array([[0.0], [1.0], [0.0]]) * np.arange(1.0, 7.0)
    days, heights = peak_days(np.concatenate([never, peaked], axis=1))
    height = number_quantiles(heights)
    assert height.p05 == height.p25 == 0.05
    assert (height.p50, height.p75, height.p95) == (1.0, 4.0, 6.0)
    when = date_quantiles(days, CALENDAR, 30.0)
    assert when.p05 == when.p50 == CALENDAR.moment(1.0)
    assert when.p75 is when.p95 is None


@given(arrays(np.float64, (5, 9), elements=st.floats(0.0, 2.0)))
def test_a_day_is_told_exactly_where_the_height_is_worth_naming(means: np.ndarray) -> None:
    days, heights = peak_days(means)
    assert np.isfinite(heights).all()
    assert ((heights >= PEAK_WORTH_NAMING_MG_N_PER_L) == np.isfinite(days)).all()
    told = np.isfinite(days)
    assert (means[days[told].astype(int), np.flatnonzero(told)] == heights[told]).all()
