"""*Settled* and the causes of stalling, member by member."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from watervane.forecast.milestones import (
    FED_DAYS_TO_JUDGE,
    MEALS_IN_A_SETTLED_WEEK,
    SETTLED_DAYS,
    DailyReadings,
    settled_days,
    stall_causes,
)
from watervane.records import SettledLevels

LEVELS = SettledLevels()
HIGH, LOW = 1.0, 0.05


def readings(
    ammonia: np.ndarray, nitrite: np.ndarray | None = None, meals: np.ndarray | None = None
) -> DailyReadings:
    """Daily readings of a well-buffered tank, fed every day unless told otherwise."""
    same = np.ones_like(ammonia)
    return DailyReadings(
        ammonia=ammonia,
        nitrite=0.0 * same if nitrite is None else nitrite,
        alkalinity_meq_per_l=2.0 * same,
        ph=7.4 * same,
        ammonia_oxidisers=same,
        nitrite_oxidisers=same,
        meals=np.ones(len(ammonia), dtype=np.int64) if meals is None else meals,
    )


def course(*days: float) -> np.ndarray:
    """One member's readings, a column."""
    return np.array(days)[:, None]


def test_settled_is_the_first_of_seven_low_days_after_a_high_one() -> None:
    found = settled_days(readings(course(*[LOW] * 3, *[HIGH] * 4, *[LOW] * 7)), LEVELS)
    assert found.day.tolist() == [7.0]
    assert not found.not_needed.any()


def test_six_low_days_are_not_enough() -> None:
    found = settled_days(readings(course(HIGH, *[LOW] * 6, HIGH, *[LOW] * 6)), LEVELS)
    assert found.day.tolist() == [np.inf]


def test_a_later_excursion_is_no_new_date() -> None:
    found = settled_days(readings(course(HIGH, *[LOW] * 7, HIGH, *[LOW] * 9)), LEVELS)
    assert found.day.tolist() == [1.0]


def test_either_species_keeps_a_tank_from_being_settled() -> None:
    quiet = np.full((12, 1), LOW)
    nitrite = course(*[0.3] * 4, *[0.02] * 8)
    assert settled_days(readings(quiet, nitrite), LEVELS).day.tolist() == [4.0]


@pytest.mark.parametrize(("level", "settled"), [(0.2, False), (0.1999, True)])
def test_a_reading_at_the_level_is_not_under_it(level: float, settled: bool) -> None:
    found = settled_days(readings(course(HIGH, *[level] * 7)), LEVELS)
    assert np.isfinite(found.day).tolist() == [settled]


def test_a_week_with_hardly_a_meal_proves_nothing() -> None:
    days = course(HIGH, *[LOW] * 13)
    meals = np.zeros(14, dtype=np.int64)
    meals[[0, 8, 9]] = 1
    found = settled_days(readings(days, meals=meals), LEVELS)
    first = 9 - SETTLED_DAYS + 1
    assert meals[first : first + SETTLED_DAYS].sum() == MEALS_IN_A_SETTLED_WEEK
    assert found.day.tolist() == [first]


@pytest.mark.parametrize("fed", [FED_DAYS_TO_JUDGE - 1, FED_DAYS_TO_JUDGE])
def test_never_exceeded_is_not_needed_only_once_the_tank_was_fed_long_enough(fed: int) -> None:
    meals = np.ones(20, dtype=np.int64)
    meals[: 20 - fed] = 0
    found = settled_days(readings(np.full((20, 1), LOW), meals=meals), LEVELS)
    assert found.not_needed.tolist() == [fed >= FED_DAYS_TO_JUDGE]
    assert found.day.tolist() == [np.inf]


def test_too_few_days_settle_nothing() -> None:
    found = settled_days(readings(np.full((SETTLED_DAYS - 1, 2), HIGH)), LEVELS)
    assert found.day.tolist() == [np.inf, np.inf]


@given(
    arrays(np.bool_, (18, 3)),
    arrays(np.int64, 18, elements=st.integers(0, 2)),
)
def test_settled_is_what_a_search_day_by_day_finds(high: np.ndarray, meals: np.ndarray) -> None:
    found = settled_days(readings(np.where(high, HIGH, LOW), meals=meals), LEVELS)
    for member in range(high.shape[1]):
        expected = np.inf
        for day in range(len(high) - SETTLED_DAYS + 1):
            week = slice(day, day + SETTLED_DAYS)
            fed = (meals[week] > 0).sum() >= MEALS_IN_A_SETTLED_WEEK
            if fed and high[:day, member].any() and not high[week, member].any():
                expected = day
                break
        assert found.day[member] == expected


def test_settled_days_of_some_members_are_those_of_all() -> None:
    ammonia = np.where(np.random.default_rng(3).random((30, 6)) < 0.15, HIGH, LOW)
    all_of_them = readings(ammonia)
    some = np.array([4, 0, 4])
    assert (
        settled_days(all_of_them.of_members(some), LEVELS).day
        == settled_days(all_of_them, LEVELS).day[some]
    ).all()
    assert (all_of_them.until(9).ammonia == ammonia[:9]).all()


def standing(level: float) -> DailyReadings:
    return readings(np.full((28, 1), level))


def causes(read: DailyReadings) -> set[str]:
    return {cause for cause, found in stall_causes(read, LEVELS).items() if found.all()}


def test_a_level_that_stands_over_the_limit_is_a_residual() -> None:
    assert causes(standing(0.5)) == {"residual-too-high"}
    assert causes(standing(0.1)) == set()


def test_a_level_that_falls_or_a_colony_that_grows_is_still_on_its_way() -> None:
    falling = replace(standing(0.5), ammonia=np.geomspace(4.0, 0.4, 28)[:, None])
    growing = replace(standing(0.5), ammonia_oxidisers=np.geomspace(0.1, 5.0, 28)[:, None])
    assert causes(falling) == set()
    assert causes(growing) == set()


@pytest.mark.parametrize(("alkalinity", "ph"), [(0.1, 6.8), (1.0, 5.8)])
def test_spent_buffering_is_named_and_nothing_else(alkalinity: float, ph: float) -> None:
    read = standing(0.5)
    same = np.ones_like(read.ph)
    assert causes(replace(read, alkalinity_meq_per_l=alkalinity * same, ph=ph * same)) == {
        "buffering-spent"
    }


def test_less_than_three_weeks_show_no_standstill() -> None:
    assert causes(readings(np.full((20, 1), 0.5))) == set()
