"""A reading meets a band or not, and a forecast that is right meets what is expected of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from validation.scoring import Beside, Tally, beside, sharpness, tally
from validation.sentences import judged
from validation.timing import _first_low_again, _first_there

from watervane.inference.kits import BIAS_SPREAD, RATIO_ION_TO_N, RELATIVE_ERROR, SCALES
from watervane.records import Kit, Reading, ReadingValue, Tank

START = datetime(2026, 3, 1, 12, tzinfo=UTC)
KIT = Kit("drop", "drop")
TANK = Tank(name="a log", filled=date(2026, 3, 1), kits={"drop": KIT})


def reading(value: float, day: int = 0, quantity: str = "ammonia", kind: str = "exact") -> Reading:
    low, high = (value, None) if kind == "above" else (value, value)
    return Reading(
        at=START + timedelta(days=day),
        quantity=quantity,
        value=ReadingValue(kind, low, high),
        kit="drop",
    )


def row(interval: tuple[float, float]) -> Beside:
    return Beside(reading(1.0), interval, (1.0, 2.0, 3.0, 4.0, 5.0), {50: 0.5, 90: 0.9}, 0.5)


@pytest.mark.parametrize(
    ("interval", "half", "most", "miss"),
    [
        ((2.5, 3.5), True, True, 0.0),
        ((4.0, 4.5), True, True, 0.0),
        ((4.1, 4.5), False, True, 0.0),
        ((5.5, 6.0), False, False, 1.0),
        ((0.0, 0.5), False, False, -1.0),
        ((4.5, np.inf), False, True, 0.0),
        ((-np.inf, 0.9), False, False, -0.2),
    ],
)
def test_an_interval_meets_a_band_where_they_have_a_level_in_common(
    interval: tuple[float, float], half: bool, most: bool, miss: float
) -> None:
    found = row(interval)
    assert (found.meets(50), found.meets(90)) == (half, most)
    assert found.miss == pytest.approx(miss)


def test_misses_are_counted_on_their_side() -> None:
    told = tally([row((5.5, 6.0)), row((0.0, 0.5)), row((0.0, 0.4)), row((2.0, 3.0))])
    assert (told.count, told.above, told.below) == (4, 1, 2)
    assert told.met == {50: 1, 90: 1}
    assert told.share(90) == 0.25


@pytest.mark.parametrize("level", [0.05, 0.6, 2.5])
def test_a_right_forecast_meets_its_bands_as_often_as_expected(level: float) -> None:
    random = np.random.default_rng(3)
    tanks = 400
    held = level * np.exp(0.6 * random.standard_normal((1, 2000)))
    met = {50: 0, 90: 0}
    expected = {50: 0.0, 90: 0.0}
    for _ in range(tanks):
        truth = level * np.exp(0.6 * random.standard_normal())
        shown = truth * np.exp(BIAS_SPREAD * random.standard_normal())
        error = np.hypot(SCALES["ammonia"].floor, RELATIVE_ERROR["drop"] * shown)
        shown = max(shown + error * random.standard_normal(), 0.0)
        (found,) = beside(TANK, [reading(shown)], held)
        for band in met:
            met[band] += found.meets(band)
            expected[band] += found.expected[band]
    for band, count in met.items():
        assert count / tanks == pytest.approx(expected[band] / tanks, abs=0.05)


def test_a_forecast_that_is_wrong_meets_fewer() -> None:
    held = np.full((1, 500), 4.0)
    (found,) = beside(TANK, [reading(1.0)], held)
    assert not found.meets(90)
    assert found.expected[90] > 0.7


def test_an_untold_basis_can_be_taken_as_nitrogen() -> None:
    untold = reading(1.0)
    untold = Reading(
        at=untold.at,
        quantity="nitrite",
        value=ReadingValue("exact", 1.0, 1.0, basis="unknown"),
        kit="drop",
    )
    held = np.full((1, 50), 1.0)
    (as_ion,), (as_n,) = (beside(TANK, [untold], held, as_n=n) for n in (False, True))
    assert as_n.interval[1] == pytest.approx(RATIO_ION_TO_N["nitrite"] * as_ion.interval[1])


def test_quantities_that_are_not_scored_are_left_out() -> None:
    assert beside(TANK, [reading(25.0, quantity="temperature")], np.full((1, 50), 25.0)) == []


def test_sharpness_is_the_gap_to_the_median_and_the_width() -> None:
    found = sharpness([row((2.0, 4.0)), row((5.0, 6.0))])
    assert (found.count, found.off, found.width) == (2, 1.0, 4.0)


@pytest.mark.parametrize(
    ("met", "verdict"),
    [(9, "about as often as claimed"), (7, "less often than claimed"), (4, "far less often")],
)
def test_the_verdict_follows_the_figures(met: int, verdict: str) -> None:
    told = Tally(10, {50: met, 90: met}, {50: 9.0, 90: 9.5}, 0, 10 - met)
    assert judged(told).startswith(verdict)


def test_timing_is_taken_from_readings_alone() -> None:
    days = np.array([0.0, 2.0, 5.0, 7.0])
    levels = np.array([[0.1, 3.0, 2.0], [0.2, 1.0, 2.0], [0.1, 0.1, 2.0], [0.0, 0.9, 2.0]])
    assert _first_low_again(levels, days).tolist() == [np.inf, 5.0, np.inf]
    assert _first_there(levels, days).tolist() == [np.inf, 0.0, 0.0]
