"""Which test is chosen, and what it does for the date, on cases worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.advice.choosing import choose, range_after_days, range_days, wrong_guesses
from watervane.advice.information import Information
from watervane.advice.questions import yes_or_no

COUNT = 400
LATE = np.arange(COUNT) % 2 == 0
NONE = np.zeros(COUNT, dtype=bool)


def kit(slip: float, spread: float = 0.0, seed: int = 1) -> np.ndarray:
    rng = np.random.default_rng(seed)
    chance = np.where(LATE, 1.0 - slip, slip) + spread * rng.uniform(-1.0, 1.0, COUNT)
    return np.stack([chance, 1.0 - chance])


def test_the_test_that_errs_least_is_chosen_and_the_best_of_the_first_day_beside_it() -> None:
    found = Information([kit(0.4), kit(0.3), kit(0.05)], yes_or_no(LATE), COUNT)
    choice = choose([1.0, 1.0, 4.0], found, 1)
    assert (choice.best, choice.soonest, choice.worth_it) == (2, 1, True)


def test_of_tests_that_cannot_be_told_apart_the_earlier_is_taken() -> None:
    several = [kit(0.2, 0.19, 1), kit(0.199, 0.19, 3)]
    found = Information(several, yes_or_no(LATE), COUNT)
    assert abs(found.bits[0] - found.bits[1]) < found.error_between(0, 1)
    assert choose([9.0, 2.0], found, 1).best == 1
    assert choose([2.0, 9.0], found, 1).best == 0


def test_where_chance_shows_as_much_no_test_is_worth_it() -> None:
    rng = np.random.default_rng(3)
    blind = [rng.dirichlet(np.ones(4), COUNT).T for _ in range(6)]
    found = Information(blind, yes_or_no(LATE), COUNT)
    assert not choose([1.0] * 6, found, 1).worth_it


def test_the_range_of_a_date_by_hand() -> None:
    days = np.arange(1.0, 101.0)
    even = np.ones(100)
    assert range_days(days, even, 200.0) == pytest.approx(80.0)
    assert range_days(days, even, 50.0) == pytest.approx(40.0)
    assert range_days(np.where(days > 50.0, np.inf, days), even, 60.0) == pytest.approx(50.0)
    assert range_days(days, np.where(days <= 50.0, 1.0, 0.0), 200.0) == pytest.approx(40.0)


def test_a_sure_test_halves_a_range_and_a_blind_one_leaves_it() -> None:
    days = np.arange(1.0, 101.0)
    none = np.zeros(100, dtype=bool)
    early = (days <= 50.0).astype(float)
    sure, blind = np.stack([early, 1.0 - early]), np.full((2, 100), 0.5)
    assert range_after_days(sure, days, none, 200.0) == pytest.approx(40.0)
    assert range_after_days(blind, days, none, 200.0) == pytest.approx(80.0)


def test_members_with_nothing_to_wait_for_have_no_part_in_the_range() -> None:
    days = np.concatenate([np.arange(1.0, 101.0), np.full(300, np.inf)])
    spared = np.isinf(days)
    blind = np.full((2, 400), 0.5)
    assert range_after_days(blind, days, spared, 200.0) == pytest.approx(80.0)


def test_wrong_guesses_before_and_after_by_hand() -> None:
    before, after = wrong_guesses(kit(0.1), LATE)
    assert before == pytest.approx(0.5)
    assert after == pytest.approx(0.1)
    assert wrong_guesses(np.full((2, COUNT), 0.5), LATE)[1] == pytest.approx(0.5)
    assert wrong_guesses(kit(0.1), NONE) == (0.0, 0.0)
