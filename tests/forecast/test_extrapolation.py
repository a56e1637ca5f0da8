"""The rivals: no worse than a careful keeper with a pencil."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.forecast.extrapolation import last_value, trend

DAYS = np.array([0.0, 2.0, 4.0, 6.0])


def test_the_last_value_is_carried_on_less_surely_the_longer() -> None:
    values = np.array([0.2, 0.4, 0.4, 0.8])
    soon, late = (last_value(DAYS, values, ahead, 0.1, 0.1) for ahead in (1.0, 9.0))
    assert soon.mean == late.mean == 0.8
    step = (0.2**2 + 0.4**2 + 0.1**2) / 7.0
    assert soon.spread == pytest.approx(np.sqrt(0.01 + step))
    assert late.spread == pytest.approx(np.sqrt(0.01 + 9.0 * step))


def test_a_line_is_drawn_on_and_flattens() -> None:
    values = 7.0 + 0.1 * DAYS
    at = [trend(DAYS, values, day, 0.05, None).mean for day in (6.0, 7.0, 60.0)]
    assert at[0] == pytest.approx(7.6)
    assert 7.68 < at[1] < 7.7
    assert at[2] == pytest.approx(7.6 + 0.7, abs=0.01)


def test_the_error_of_a_line_is_that_of_least_squares() -> None:
    rng = np.random.default_rng(4)
    values = rng.normal(size=4)
    found = trend(DAYS, values, 9.0, 1e-9, None)
    design = np.stack([np.ones(4), DAYS], axis=1)
    left = values - design @ np.linalg.lstsq(design, values, rcond=None)[0]
    point = np.array([1.0, 9.0])
    leverage = point @ np.linalg.inv(design.T @ design) @ point
    assert found.spread == pytest.approx(np.sqrt((left @ left) / 2 * (1.0 + leverage)))


def test_what_cannot_be_negative_is_not_foretold_negative() -> None:
    falling = trend(DAYS, np.array([4.0, 2.0, 1.0, 0.5]), 90.0, 0.1, 0.1)
    assert falling.mean >= np.log(0.1)
    assert falling.below(np.array([-0.1])) == pytest.approx([0.0])
    assert falling.below(np.array([np.inf])) == pytest.approx([1.0])


def test_a_steep_rise_does_not_run_away() -> None:
    rising = trend(DAYS, np.array([0.01, 0.1, 1.0, 10.0]), 300.0, 0.1, 0.1)
    assert np.exp(rising.mean) <= 21.0 * 10.1
