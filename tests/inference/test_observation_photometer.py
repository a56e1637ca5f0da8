"""Photometers show digits, and nothing above the end of their range."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from observation_cases import chances_of, chi_square, keyed, only_model, read, seen, zeros
from scipy.stats import chi2

from watervane.inference.kits import reading_interval
from watervane.kits.photometer import DigitFace
from watervane.records import Kit, KitScale

AMMONIA = "ammonia_mg_n_per_l"


def photometer(resolution: float | None = 0.05, end: float | None = 2.0, **told: float) -> Kit:
    scale = KitScale("ammonia", (), "n", resolution=resolution, range_end=end, **told)
    return Kit("drop", "photometer", (scale,))


@given(truth=st.floats(0.0, 6.0), bias=st.floats(-3.0, 3.0))
def test_all_digits_and_off_the_range_add_up_to_certainty(truth: float, bias: float) -> None:
    unknowns = {"bias drop ammonia": np.array([bias])}
    shown = DigitFace("ammonia", 0.05, 2.0).values()
    chances = chances_of(photometer(), read(0.0), shown, {AMMONIA: truth}, unknowns, range_end=2.0)
    assert chances.sum() == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "kind", "expected"),
    [
        (1.0, "exact", (0.975, 1.025)),
        (0.0, "exact", (-np.inf, 0.025)),
        (2.0, "exact", (1.975, 2.025)),
        (2.0, "above", (2.025, np.inf)),
        (2.5, "exact", (2.025, np.inf)),
        (1.0, "about", (0.95, 1.05)),
        (0.1, "below", (-np.inf, 0.1)),
    ],
)
def test_intervals_of_digits(value: float, kind: str, expected: tuple[float, float]) -> None:
    interval = reading_interval(read(value, kind=kind), photometer())
    assert interval == pytest.approx(expected)


def test_a_finer_kit_tells_more() -> None:
    levels = {AMMONIA: np.array([1.0, 1.3])}
    gain = []
    for kit in (photometer(relative_error=0.05), photometer(), photometer(relative_error=0.4)):
        model = only_model(kit, [read(1.0)])
        rows = model.log_likelihood(seen([read(1.0)], levels), zeros(model, 2))
        gain.append(float(rows[0, 0] - rows[0, 1]))
    assert gain == sorted(gain, reverse=True)


def test_a_photometer_that_tells_nothing_of_itself_still_reads() -> None:
    kit = Kit("drop", "photometer")
    model = only_model(kit, [read(1.0)])
    rows = model.log_likelihood(seen([read(1.0)], {AMMONIA: np.array([1.0, 2.0])}), zeros(model, 2))
    assert rows[0, 0] > rows[0, 1] + 2.0


@pytest.mark.parametrize("truth", [0.0, 0.4, 1.7, 2.4])
def test_run_forwards_it_shows_what_the_likelihood_says(truth: float) -> None:
    members, kit = 20_000, photometer()
    model = only_model(kit, [read(0.0)])
    level = {AMMONIA: np.full(members, truth)}
    unknowns = {"bias drop ammonia": np.random.default_rng(3).standard_normal(members)}
    shown = model.simulate(seen([read(0.0)], level), unknowns, keyed(members))[0]
    values = np.unique(shown)
    expected = chances_of(kit, read(0.0), values, level, unknowns, range_end=2.0).sum(axis=1)
    counts = np.array([(shown == v).sum() for v in values])
    statistic, freedom = chi_square(counts, expected)
    assert statistic < chi2.ppf(0.999, freedom)


def test_a_titration_counts_drops() -> None:
    kit = Kit("drop", "drop", (KitScale("kh", (), "none", resolution=1.0),))
    assert reading_interval(read(5.0, 1, "kh", basis="none"), kit) == (4.5, 5.5)
