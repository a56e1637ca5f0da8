"""Closed forms of repeated changes, against the same done step by step."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.chemistry.periodic_changes import (
    after_change,
    between_changes,
    share_for_peak,
    steady_peak,
    top_off_gain,
)

SOURCES, GAINS = st.floats(0.0, 50.0), st.floats(-2.0, 5.0)
SHARES, INTERVALS = st.floats(0.1, 1.0), st.floats(1.0, 60.0)
LOSSES = st.one_of(st.just(0.0), st.floats(1e-6, 0.2))


@given(source=SOURCES, gain=GAINS, share=SHARES, interval=INTERVALS, loss=LOSSES)
def test_the_peak_is_where_step_by_step_changes_end(
    source: float, gain: float, share: float, interval: float, loss: float
) -> None:
    level = source
    for _ in range(400):
        peak = between_changes(level, gain, interval, loss)
        level = after_change(peak, source, share)
    assert steady_peak(source, gain, share, interval, loss) == pytest.approx(peak, rel=1e-6)


@given(gain=GAINS, days=INTERVALS, loss=LOSSES, level=SOURCES)
def test_between_changes_is_the_integral(
    gain: float, days: float, loss: float, level: float
) -> None:
    steps, now = 20_000, level
    step = days / steps
    for _ in range(steps // 100):  # exact in pieces: the flow is a semigroup
        now = between_changes(now, gain, 100 * step, loss)
    assert now == pytest.approx(between_changes(level, gain, days, loss), rel=1e-9, abs=1e-9)
    slope = (between_changes(level, gain, 1e-6, loss) - level) / 1e-6
    assert slope == pytest.approx(gain - loss * level, rel=1e-3, abs=1e-4)


@given(source=st.floats(0.0, 20.0), gain=st.floats(0.01, 2.0), interval=INTERVALS)
def test_the_share_found_holds_the_peak_asked_for(
    source: float, gain: float, interval: float
) -> None:
    peak = source + 30.0
    share = share_for_peak(source, gain, interval, peak)
    assert steady_peak(source, gain, share, interval) == pytest.approx(peak)


def test_no_share_helps_where_the_new_water_is_no_better() -> None:
    assert share_for_peak(40.0, 0.5, 7.0, 40.0) == math.inf
    assert share_for_peak(50.0, 0.5, 7.0, 40.0) == math.inf
    assert share_for_peak(50.0, 0.0, 7.0, 40.0) == 0.0
    assert share_for_peak(5.0, -0.1, 7.0, 3.0) == pytest.approx(0.35)  # of what falls


def test_distilled_top_off_brings_nothing_and_arrays_are_taken() -> None:
    gains = top_off_gain(np.array([0.0, 300.0]), 0.01)
    assert gains.tolist() == [0.0, 3.0]
    assert steady_peak(300.0, gains, 0.25, 28.0).tolist() == pytest.approx([300.0, 636.0])
