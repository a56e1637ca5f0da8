"""Probes: one multivariate normal, a robust filter, a lag, a drift, and no false certainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from observation_cases import FILLED, chi_square, keyed, only_model, read, seen, tank, zeros
from scipy.integrate import solve_ivp, trapezoid
from scipy.stats import chi2, multivariate_normal

from watervane.inference.observation import observation_models
from watervane.inference.observation.probe import ProbeModel, lagged, thinned
from watervane.kits.basis import basis_chances
from watervane.kits.sizes import errors_of, number
from watervane.records import Kit, KitScale, Reading

PEN = Kit("pen", "probe")
TAU_D, JITTER = number("probe_correlation_time_d"), number("probe_jitter_share")


def ph_readings(values: Sequence[float], days: Sequence[float]) -> list[Reading]:
    return [read(v, d, "ph", basis="none", kit="pen") for v, d in zip(values, days, strict=True)]


def without_outliers(kit: Kit, told: list[Reading]) -> ProbeModel:
    model = only_model(kit, told)
    assert isinstance(model, ProbeModel)
    return replace(model, outlier_chance=0.0)


def covariance(days: np.ndarray, spread: np.ndarray) -> np.ndarray:
    lasting = (1.0 - JITTER) * np.exp(-np.abs(days[:, None] - days) / TAU_D)
    return np.outer(spread, spread) * (lasting + JITTER * np.eye(len(days)))


@pytest.mark.parametrize("quantity", ["ph", "oxygen"])
def test_without_outliers_the_rows_sum_to_one_multivariate_normal(quantity: str) -> None:
    rng = np.random.default_rng(4)
    days = np.sort(rng.uniform(1.0, 9.0, 8))
    output = {"ph": "ph", "oxygen": "oxygen_mg_per_l"}[quantity]
    told = [
        read(v, d, quantity, basis="none", kit="pen")
        for v, d in zip(rng.normal(7.2, 0.3, 8), days, strict=True)
    ]
    model = without_outliers(PEN, told)
    levels = {output: rng.normal(7.0, 0.2, (8, 5))}
    unknowns = {name: rng.standard_normal(5) for name in model.names}
    at = seen(told, levels)
    shown, spread = model.shown(at, unknowns)
    found = model.log_likelihood(at, unknowns).sum(axis=0)
    values = np.array([r.value.low for r in told])
    expected = [
        multivariate_normal(shown[:, m], covariance(days, spread[:, m])).logpdf(values)
        for m in range(5)
    ]
    assert found == pytest.approx(np.array(expected), rel=1e-9)


def test_without_outliers_what_is_shown_has_that_covariance() -> None:
    days, members = np.array([1.0, 1.2, 3.0, 9.0]), 40_000
    told = ph_readings([7.0] * 4, days)
    model = without_outliers(PEN, told)
    at = seen(told, {"ph": np.full(members, 7.1)})
    shown = model.simulate(at, zeros(model, members), keyed(members))
    spread = errors_of("probe", "ph").floor
    expected = covariance(days, np.full(4, spread))
    assert shown.mean(axis=1) == pytest.approx(np.full(4, 7.1), abs=0.002)
    assert np.cov(shown) == pytest.approx(expected, abs=4.0 * spread**2 / np.sqrt(members / 2))


@pytest.mark.parametrize("before", [7.0, pytest.param(7.3, marks=pytest.mark.slow), 11.0])
def test_each_reading_given_those_before_is_a_density(before: float) -> None:
    """With outliers too, whatever came before."""
    fine = np.concatenate([np.linspace(-3.0, 18.0, 1401), np.linspace(6.0, 9.0, 1501)])
    fine = np.unique(fine)
    model_of = [only_model(PEN, ph_readings([before, y], [1.0, 1.5])) for y in fine]
    at = seen(ph_readings([before, 7.0], [1.0, 1.5]), {"ph": np.full((2, 1), 7.0)})
    density = [float(np.exp(m.log_likelihood(at, zeros(m))[1, 0])) for m in model_of]
    assert trapezoid(density, fine) == pytest.approx(1.0, abs=1e-4)


def test_run_forwards_it_shows_what_the_likelihood_says() -> None:
    """The second of two readings, in bins, given what the first showed."""
    members = 40_000
    told = ph_readings([7.0, 7.0], [1.0, 1.3])
    model = replace(only_model(PEN, told), outlier_chance=0.2)
    at = seen(told, {"ph": np.full(members, 7.1)})
    shown = model.simulate(at, zeros(model, members), keyed(members))
    bins = np.array([-50.0, 6.0, 6.9, 7.0, 7.05, 7.1, 7.15, 7.2, 7.3, 8.0, 60.0])
    first = (shown[0] > 7.16) & (shown[0] < 7.18)
    counts = np.histogram(shown[1, first], bins)[0]
    expected = []
    one = seen(told, {"ph": np.full((2, 1), 7.1)})
    for low, high in pairwise(bins):
        grid = np.linspace(low, high, 400)
        pairs = (only_model(PEN, ph_readings([7.17, y], [1.0, 1.3])) for y in grid)
        models = [replace(model, outlier_chance=0.2) for model in pairs]
        density = [float(np.exp(m.log_likelihood(one, zeros(m))[1, 0])) for m in models]
        expected.append(first.sum() * trapezoid(density, grid))
    assert sum(expected) == pytest.approx(first.sum(), rel=0.01)
    statistic, freedom = chi_square(counts, np.array(expected))
    assert statistic < chi2.ppf(0.999, freedom)


def information(days: np.ndarray) -> float:
    """Of all readings about a steady offset, in units of the spread."""
    one = np.ones(len(days))
    return float(one @ np.linalg.solve(covariance(days, one), one))


def test_many_readings_tell_little_more_than_four_a_day() -> None:
    every_ten_minutes = np.arange(0.0, 15.0, 1.0 / 144.0)
    kept = every_ten_minutes[list(thinned(every_ten_minutes))]
    assert len(kept) == 60
    assert information(kept) > 0.95 * information(every_ten_minutes)
    assert information(every_ten_minutes) < 0.01 * len(every_ten_minutes)


def test_the_likelihood_of_many_readings_is_as_wide_as_their_information_says() -> None:
    days = np.arange(1.0, 6.0, 1.0 / 48.0)
    told = ph_readings([7.0] * len(days), days)
    model = without_outliers(PEN, told)
    spread = errors_of("probe", "ph").floor
    at = seen(told, {"ph": 7.0 + spread * np.array([-1.0, 0.0, 1.0])})
    total = model.log_likelihood(at, zeros(model, 3)).sum(axis=0)
    curvature = -(total[0] - 2.0 * total[1] + total[2])
    assert curvature == pytest.approx(information(days), rel=1e-6)
    assert curvature < 0.05 * len(days)


def test_one_reading_in_the_air_hardly_moves_the_rest() -> None:
    days = np.arange(1.0, 8.0, 0.5)
    good, bad = [7.0] * len(days), [7.0] * len(days)
    bad[6] = 3.0
    gains = []
    for values in (good, bad):
        told = ph_readings(values, days)
        model = only_model(PEN, told)
        at = seen(told, {"ph": np.array([7.0, 7.4])})
        total = model.log_likelihood(at, zeros(model, 2)).sum(axis=0)
        gains.append(total[0] - total[1])
    assert gains[1] > 0.7 * gains[0] > 0.0


def test_a_sensor_lags_as_its_equation_says() -> None:
    days = np.array([0.0, 0.1, 0.15, 0.4, 1.0, 1.05])
    level = np.array([[7.0], [7.5], [6.0], [6.5], [9.0], [9.0]])
    found = lagged(level, days, 0.08)

    def slope(t: float, y: np.ndarray) -> np.ndarray:
        return (np.interp(t, days, level[:, 0]) - y) / 0.08

    solved = solve_ivp(slope, (0.0, 1.05), [7.0], t_eval=days, rtol=1e-9, max_step=0.002)
    assert found[:, 0] == pytest.approx(solved.y[0], abs=1e-5)
    assert lagged(level, days, 0.0) is level


def test_a_told_response_time_is_used() -> None:
    told = ph_readings([7.0, 7.0], [1.0, 1.1])
    slow = replace(PEN, response_h=12.0)
    levels = {"ph": np.array([[7.0], [7.5]])}
    quick_rows, slow_rows = (
        (m := only_model(kit, told)).log_likelihood(seen(told, levels), zeros(m))
        for kit in (PEN, slow)
    )
    assert slow_rows[1, 0] > quick_rows[1, 0]


def test_a_probe_drifts_until_it_is_calibrated_again() -> None:
    days = [1.0, 31.0, 61.0]
    told = ph_readings([7.0] * 3, days)
    drift = {"bias pen ph": np.zeros(1), "drift pen ph": np.ones(1)}
    month = number("probe_drift_floors_per_30_d") * errors_of("probe", "ph").bias_floor
    at = seen(told, {"ph": 7.0})
    shown, _ = without_outliers(PEN, told).shown(at, drift)
    assert shown[:, 0] - 7.0 == pytest.approx([0.0, month, 2.0 * month])
    again = replace(PEN, calibrated=(date(2026, 3, 1), date(2026, 4, 1)))
    shown, _ = without_outliers(again, told).shown(at, drift)
    assert shown[:, 0] - 7.0 == pytest.approx([month / 30.0, 0.0, month], abs=1e-9)
    assert date(2026, 4, 1).toordinal() - FILLED.toordinal() == 31


def test_more_than_and_less_than_stand_apart_from_the_series() -> None:
    told = [
        read(20.0, 1, "nitrate", kit="pen"),
        read(30.0, 2, "nitrate", kind="above", kit="pen"),
    ]
    models = observation_models(tank(PEN), told)
    assert sorted(type(m).__name__ for m in models) == ["IntervalModel", "ProbeModel"]
    assert sorted(i for m in models for i in m.readings) == [0, 1]


def test_an_unknown_basis_of_a_probe_is_weighed_as_a_whole() -> None:
    values, days = (1.0, 1.2, 0.9), (1.0, 2.0, 3.0)
    levels = {"nitrate_mg_n_per_l": np.array([1.0, 4.5])}
    whole = []
    chances = basis_chances("nitrate")
    for ratio in chances:
        told = [
            read(ratio * v, d, "nitrate", basis="n", kit="pen")
            for v, d in zip(values, days, strict=True)
        ]
        model = without_outliers(PEN, told)
        rows = model.log_likelihood(seen(told, levels), zeros(model, 2))
        whole.append(rows.sum(axis=0) + 3 * np.log(ratio))
    expected = np.logaddexp(*(np.log(c) + w for c, w in zip(chances.values(), whole, strict=True)))
    told = [
        read(v, d, "nitrate", basis="unknown", kit="pen") for v, d in zip(values, days, strict=True)
    ]
    model = without_outliers(PEN, told)
    rows = model.log_likelihood(seen(told, levels), zeros(model, 2))
    assert rows.sum(axis=0) == pytest.approx(expected)


def test_what_the_keeper_tells_of_its_error_is_used() -> None:
    exact = Kit("pen", "probe", (KitScale("ph", (), "none", error_floor=0.01),))
    told = ph_readings([7.0], [1.0])
    levels = {"ph": np.array([7.0, 7.1])}
    apart = []
    for kit in (PEN, exact):
        model = only_model(kit, told)
        apart.append(
            float(-np.diff(model.log_likelihood(seen(told, levels), zeros(model, 2)))[0, 0])
        )
    assert apart[1] > 2.0 * apart[0]
