"""Five quantiles over members of equal weight; what does not exist ranks last and is told."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from watervane.forecast.quantiles import band, date_quantiles, no_dates, number_quantiles
from watervane.process.calendar import Calendar
from watervane.records import QUANTILE_KEYS, QUANTILES

CALENDAR = Calendar(date(2026, 3, 28), "Europe/Lisbon")
levels = st.floats(0.0, 100.0) | st.just(math.inf)


def five(record: object) -> list[object]:
    return [getattr(record, key) for key in QUANTILE_KEYS]


def test_of_a_hundred_and_one_ranks_each_quantile_is_its_own_rank() -> None:
    shuffled = np.random.default_rng(1).permutation(101).astype(float)
    assert five(number_quantiles(shuffled)) == [5.0, 25.0, 50.0, 75.0, 95.0]


def test_one_member_is_all_quantiles() -> None:
    assert five(number_quantiles(np.array([3.0]))) == [3.0] * 5


def test_what_does_not_exist_is_none_and_ranks_last() -> None:
    values = np.where(np.arange(101) < 60, np.arange(101.0), np.inf)
    assert five(number_quantiles(values)) == [5.0, 25.0, 50.0, None, None]
    assert five(number_quantiles(np.full(4, np.inf))) == [None] * 5


@given(st.lists(levels, min_size=1, max_size=40))
def test_quantiles_are_members_own_values_and_in_order(values: list[float]) -> None:
    told = [math.inf if q is None else q for q in five(number_quantiles(np.array(values)))]
    assert set(told) <= set(values)
    assert told == sorted(told)


@given(st.lists(levels, min_size=1, max_size=40), st.randoms())
def test_the_order_of_members_does_not_matter(values: list[float], chance: object) -> None:
    mixed = list(values)
    chance.shuffle(mixed)
    assert number_quantiles(np.array(mixed)) == number_quantiles(np.array(values))


def test_dates_are_moments_of_the_tanks_own_clock() -> None:
    told = date_quantiles(np.array([0.5]), CALENDAR, 10.0)
    assert told.p50 == CALENDAR.moment(0.5)
    assert (told.p50.hour, told.p50.utcoffset()) == (12, timedelta(0))
    late = date_quantiles(np.array([1.5]), CALENDAR, 10.0).p50
    assert late is not None
    assert (late.hour, late.utcoffset()) == (13, timedelta(hours=1)), "the clocks went forward"


def test_a_date_beyond_the_horizon_is_none_and_one_at_it_is_told() -> None:
    told = date_quantiles(np.linspace(0.0, 20.0, 101), CALENDAR, 15.0)
    assert told.p75 == CALENDAR.moment(15.0)
    assert told.p95 is None


def test_what_has_no_date_has_none_of_the_five() -> None:
    assert five(no_dates()) == [None] * 5
    assert no_dates() == date_quantiles(np.full(3, np.inf), CALENDAR, 10.0)


def test_a_band_between_ranks_is_interpolated() -> None:
    rows = np.array([[0.0, 1.0, 2.0, 3.0, 4.0], [4.0, 3.0, 2.0, 1.0, 0.0]])
    told = band(rows)
    for key, share in zip(QUANTILE_KEYS, QUANTILES, strict=True):
        assert getattr(told, key) == pytest.approx((4.0 * share, 4.0 * share))


@given(arrays(np.float64, (3, 7), elements=st.floats(-5.0, 5.0)))
def test_a_band_is_ordered_and_stays_inside_its_members(values: np.ndarray) -> None:
    rows = np.array(five(band(values)))
    assert (np.diff(rows, axis=0) >= 0.0).all()
    assert (rows >= values.min(axis=1) - 1e-12).all()
    assert (rows <= values.max(axis=1) + 1e-12).all()
