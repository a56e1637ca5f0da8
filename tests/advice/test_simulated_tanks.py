"""The test named as most telling, read off tanks nobody knows, narrows their date most."""

from __future__ import annotations

import numpy as np
import pytest
from evidence.telling_tests import Narrowed, narrowed


@pytest.fixture(scope="module")
def found() -> Narrowed:
    return narrowed(80, 700, until=10)


def surely_above_zero(differences: np.ndarray) -> bool:
    error = differences.std() / np.sqrt(len(differences))
    return bool(differences.mean() > 2.0 * error)


def test_it_narrows_the_date_more_than_a_test_drawn_by_lot(found: Narrowed) -> None:
    assert len(found.before_days) >= 50
    assert surely_above_zero(found.lot_days - found.chosen_days)
    assert surely_above_zero(found.same_evening_days - found.chosen_days)
    assert surely_above_zero(found.before_days - found.chosen_days)


def test_it_narrows_the_date_as_much_as_was_foreseen(found: Narrowed) -> None:
    apart = found.chosen_days - found.foreseen_days
    assert abs(apart.mean()) < 3.0 * apart.std() / np.sqrt(len(apart))


def test_it_narrows_it_about_the_true_date(found: Narrowed) -> None:
    assert surely_above_zero(found.chosen_bits - found.lot_bits)
