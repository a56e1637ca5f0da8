"""What nobody logged: drift, meals, sizes of changes; and days cut into calls."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.process.daily_noise import (
    DRIFT_LOG_SD,
    NOISE_NAMES,
    DailyNoise,
    drift_steps,
)
from watervane.process.day_program import pieces_of
from watervane.process.noise import food_multiplier, keyed_normal

NUMBERS = np.arange(3000)


def test_drift_comes_to_its_spread_and_no_farther() -> None:
    z = np.random.default_rng(1).standard_normal((60, 4000))
    logs = np.log(drift_steps(z))
    assert logs[0].std() < 0.6 * DRIFT_LOG_SD, "it begins near none"
    assert logs[40:].std() == pytest.approx(DRIFT_LOG_SD, rel=0.03)
    weeks_apart = np.corrcoef(logs[40], logs[48])[0, 1]
    assert weeks_apart == pytest.approx(np.exp(-1.0), abs=0.06)


def test_what_is_told_is_used_and_days_beyond_are_keyed() -> None:
    told = {"food": np.zeros((3, len(NUMBERS))), "change": np.ones((2, len(NUMBERS)))}
    daily = DailyNoise(5, NUMBERS, told, 20)
    food, change = NOISE_NAMES.index("food"), NOISE_NAMES.index("change")
    assert np.ptp(daily.of_day(2)[food]) == 0.0
    assert daily.of_day(3)[food, 0] == pytest.approx(food_multiplier(5, NUMBERS, 3))
    assert np.ptp(daily.of_day(1)[change]) == 0.0
    assert np.log(daily.of_day(2)[change, 0]) == pytest.approx(
        0.12 * keyed_normal(5, NUMBERS, 2, "change")
    )


def test_drift_goes_on_from_told_weeks_into_keyed_ones() -> None:
    told = {"ammonia drift": np.full((2, len(NUMBERS)), 2.0)}
    daily = DailyNoise(5, NUMBERS, told, 40)
    drift = NOISE_NAMES.index("ammonia_drift")
    second, third = daily.of_day(13)[drift, 0], daily.of_day(14)[drift, 0]
    assert np.ptp(second) == 0.0
    assert second[0] > 1.0
    assert np.log(third).mean() == pytest.approx(np.exp(-1 / 8) * np.log(second[0]), abs=0.005)


def test_a_quiet_day_is_as_told() -> None:
    day = DailyNoise(5, NUMBERS, {}, 10, quiet=True).of_day(4)
    for name, values in zip(NOISE_NAMES, day, strict=True):
        assert name == "luck" or np.all(values == (0.0 if name == "death" else 1.0))


def test_animals_die_unseen_as_often_as_the_table_says_and_for_a_week_at_a_time() -> None:
    place = NOISE_NAMES.index("death")
    many = DailyNoise(5, np.arange(40_000), {}, 20)
    died = [many.of_day(day)[place, 0] for day in range(21)]
    assert died[0].mean() == pytest.approx(0.02, abs=0.003)
    assert np.array_equal(died[0], died[6])
    assert not np.array_equal(died[6], died[7])


@given(
    st.integers(1, 400),
    st.sets(st.integers(0, 399), max_size=120),
    st.integers(1, 130),
    st.integers(1, 40),
)
def test_pieces_hold_all_rows_once_and_not_too_many_reports(
    count: int, asked: set[int], size: int, reports: int
) -> None:
    reported = sorted(r for r in asked if r < count)
    pieces = pieces_of(count, reported, size, reports)
    assert [start for start, _ in pieces] == [0, *(stop for _, stop in pieces[:-1])]
    assert pieces[-1][1] == count
    for start, stop in pieces:
        assert 0 < stop - start <= size
        assert sum(start <= r < stop for r in reported) <= reports
