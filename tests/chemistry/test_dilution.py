"""Water changes and decay: worked examples, and the series against step-by-step sums."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.chemistry.dilution import (
    endless_peak,
    left_after_changes,
    left_after_decay,
    peaks_of_repeats,
    share_to_change,
)


def test_worked_examples() -> None:
    """By hand: three changes of a quarter leave 27/64; a half changed once leaves a half."""
    assert left_after_changes([0.25, 0.25, 0.25]) == pytest.approx(27.0 / 64.0)
    assert left_after_changes([]) == 1.0
    assert left_after_changes([0.5, 1.0]) == 0.0
    assert left_after_decay(48.0, 24.0) == pytest.approx(0.25)
    assert left_after_decay(48.0, math.inf) == 1.0
    assert peaks_of_repeats(1.0, 0.5, 4) == pytest.approx((1.0, 1.5, 1.75, 1.875))
    assert endless_peak(1.0, 0.5) == pytest.approx(2.0)
    assert endless_peak(1.0, 1.0) == math.inf
    assert share_to_change(0.1, 0.5) == pytest.approx(0.2)


@given(dose=st.floats(0.01, 100.0), left=st.floats(0.0, 0.99), times=st.integers(1, 60))
def test_the_series_is_the_geometric_sum(dose: float, left: float, times: int) -> None:
    peaks = peaks_of_repeats(dose, left, times)
    assert peaks[-1] == pytest.approx(dose * (1.0 - left**times) / (1.0 - left), rel=1e-9)
    assert peaks[-1] <= endless_peak(dose, left) * (1.0 + 1e-12)


@given(load=st.floats(0.001, 5.0), share=st.floats(0.05, 1.0))
def test_the_daily_share_holds_the_level_in_the_long_run(load: float, share: float) -> None:
    level = 0.0
    for _ in range(2000):
        level = level * (1.0 - share) + load
    assert share_to_change(load, level) == pytest.approx(share, rel=1e-6)
