"""Nitrite lifts what a nitrate kit shows, by a factor nobody told."""

from __future__ import annotations

import numpy as np
import pytest
from observation_cases import drop, only_model, read, seen, zeros

from watervane.inference.observation.nitrate_lift import nitrite_lift
from watervane.records import Kit
from watervane.reference import value

KIT = drop("nitrate", "n", (0.0, 1.0, 2.0, 5.0, 10.0, 20.0))
LIFT = "nitrite lift drop"


def test_the_lift_covers_its_published_yield_and_its_range() -> None:
    row = value("nitrite_lift")
    low, middle, high = nitrite_lift(np.array([-1.959964, 0.0, 1.959964]))
    assert middle == row.value
    assert (low, high) == pytest.approx((row.low, row.high), rel=0.01)


def test_nitrite_alone_shows_as_nitrate_more_or_less() -> None:
    told = [read(5.0, 1, "nitrate")]
    model = only_model(KIT, told)
    assert LIFT in model.names
    unknowns = zeros(model, 3) | {LIFT: np.array([-2.0, 0.0, 2.0])}
    at = seen(told, {"nitrate_mg_n_per_l": np.zeros(3), "nitrite_mg_n_per_l": 4.0})
    rows = model.log_likelihood(at, unknowns)
    assert rows[0, 1] > rows[0, 0] + 2.0
    assert rows[0, 1] > rows[0, 2] + 2.0


def test_without_nitrite_the_lift_says_nothing() -> None:
    told = [read(5.0, 1, "nitrate")]
    model = only_model(KIT, told)
    unknowns = zeros(model, 3) | {LIFT: np.array([-2.0, 0.0, 2.0])}
    at = seen(told, {"nitrate_mg_n_per_l": np.full(3, 5.0)})
    assert np.ptp(model.log_likelihood(at, unknowns)) == 0.0


def test_a_probe_answers_to_nitrate_alone() -> None:
    told = [read(5.0, 1, "nitrate", kit="pen")]
    model = only_model(Kit("pen", "probe"), told)
    assert not any("lift" in name for name in model.names)
