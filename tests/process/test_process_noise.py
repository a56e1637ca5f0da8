"""Random numbers keyed by member, day and stream."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from watervane.process.noise import food_multiplier, keyed_normal, keyed_uniform

MANY = np.arange(200_000)


@given(st.integers(0, 2**40), st.integers(-10, 5000), st.permutations(range(12)))
@settings(max_examples=50)
def test_a_number_belongs_to_its_key_and_not_to_the_order_of_asking(
    seed: int, day: int, order: list[int]
) -> None:
    members = np.arange(12)
    whole = keyed_uniform(seed, members, day, "food")
    assert np.array_equal(keyed_uniform(seed, members[order], day, "food"), whole[order])
    assert np.array_equal(keyed_uniform(seed, members[3:4], day, "food"), whole[3:4])


def test_numbers_lie_inside_zero_and_one_and_are_even() -> None:
    drawn = keyed_uniform(7, MANY, 3, "food")
    assert drawn.min() > 0.0
    assert drawn.max() < 1.0
    assert stats.kstest(drawn, "uniform").pvalue > 1e-3
    assert len(np.unique(drawn)) == len(MANY)


@pytest.mark.parametrize(
    ("seed", "day", "stream"), [(8, 3, "food"), (7, 4, "food"), (7, -1, "food"), (7, 3, "luck")]
)
def test_another_seed_day_or_stream_is_unrelated(seed: int, day: int, stream: str) -> None:
    base = keyed_normal(7, MANY, 3, "food")
    other = keyed_normal(seed, MANY, day, stream)
    assert abs(np.corrcoef(base, other)[0, 1]) < 4.0 / np.sqrt(len(MANY))


def test_days_of_one_member_are_unrelated() -> None:
    days = np.array([keyed_normal(7, np.array([5]), d, "food")[0] for d in range(4000)])
    assert abs(np.corrcoef(days[1:], days[:-1])[0, 1]) < 4.0 / np.sqrt(len(days))
    assert stats.kstest(days, "norm").pvalue > 1e-3


def test_normals_are_normal() -> None:
    drawn = keyed_normal(1, MANY, 0, "x")
    assert stats.kstest(drawn, "norm").pvalue > 1e-3


def test_food_varies_about_what_was_told() -> None:
    food = food_multiplier(3, MANY, 12)
    assert food.mean() == pytest.approx(0.93 + 0.05 * 0.05 + 0.02 * 2.0, abs=0.005)
    middle = np.log(food)[(food > 0.15)]
    assert np.std(middle) == pytest.approx(0.35, abs=0.03)
    assert (food < 0.15).mean() == pytest.approx(0.05, abs=0.003), "forgotten meals"


def test_food_without_spread_is_one_but_for_odd_days() -> None:
    assert set(np.unique(food_multiplier(3, MANY, 1, spread=0.0))) == {0.05, 1.0, 2.0}
