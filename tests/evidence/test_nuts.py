"""The reference sampler and its gauges where the answer is known, and the slope from lanes."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest
from evidence.effective_size import bulk_size, effective_size, point_size, split_r_hat
from evidence.lane_force import LaneForce, slopes, steep_axes
from evidence.nuts_chains import Chains, run_chains
from tempered_targets import BENT, VALUES, Linear, Plane, linear

from watervane.inference.tank_target import TankTarget
from watervane.inference.target import Evaluated, Floats, Target
from watervane.process.timeline import timeline
from watervane.records import Dose, Kit, Reading, ReadingValue, SourceWater, Tank


def chains_of(
    target: Target, seed: int, wanted: float, *, draws: int = 200, axes: Floats | None = None
) -> Chains:
    unknowns = len(target.names)
    rng = np.random.default_rng(seed)
    return run_chains(
        LaneForce(target, np.eye(unknowns) if axes is None else axes),
        np.zeros(unknowns),
        np.eye(unknowns),
        rng.standard_normal((unknowns, 20)),
        warm=60,
        draws=draws,
        seed=seed,
        wanted=wanted,
    )


def check_normal(found: Chains, target: Linear, least: float) -> None:
    mean, covariance, _ = target.posterior()
    spread = np.sqrt(np.diag(covariance))
    for row in range(len(mean)):
        values = found.z[:, :, row]
        size = effective_size(values)
        assert size > least
        assert split_r_hat(values) < 1.02
        assert abs(values.mean() - mean[row]) < 4.0 * spread[row] / np.sqrt(size)
        assert values.std() == pytest.approx(spread[row], rel=0.06)
    assert found.divergent == 0


@pytest.mark.slow
def test_nuts_finds_an_exact_normal_posterior() -> None:
    target = linear(3, lasting=4, days=6, readings=8)
    found = chains_of(target, 1, 0.8)
    check_normal(found, target, 1500.0)
    assert found.acceptance == pytest.approx(0.8, abs=0.08)


@pytest.mark.slow
def test_a_poor_force_costs_time_and_nothing_else() -> None:
    """Paths feel four directions; what pulls along the others is left to acceptance."""
    target = linear(3, lasting=4, days=6, readings=8)
    mean, covariance, _ = target.posterior()
    drawn = np.random.default_rng(1).multivariate_normal(mean, covariance, size=200).T
    axes, left_out = steep_axes(target, drawn, 4)
    assert left_out > 0.3
    check_normal(chains_of(target, 4, 0.8, axes=axes), target, 500.0)


class Aside:
    """A guide that guesses the likelihood of another place."""

    def __init__(self, target: Target) -> None:
        self._target = target

    def evaluate(self, z: Floats) -> Evaluated:
        return self._target.evaluate(1.1 * z + 0.1)


@pytest.mark.slow
def test_a_wrong_guide_costs_time_and_nothing_else() -> None:
    """Paths feel the guide alone, also while the length of their steps is found."""
    target = linear(3, lasting=4, days=6, readings=8)
    unknowns = len(target.names)
    guide, axes = Aside(target), np.eye(unknowns)
    found = run_chains(
        LaneForce(target, axes, guide),
        np.zeros(unknowns),
        np.eye(unknowns),
        np.random.default_rng(1).standard_normal((unknowns, 20)),
        warm=60,
        draws=200,
        seed=5,
        wanted=0.8,
        tuned_on=LaneForce(guide, axes),
    )
    assert found.acceptance < 0.77
    check_normal(found, target, 500.0)


@pytest.mark.slow
def test_nuts_finds_a_banana_in_short_steps() -> None:
    target = Plane(BENT["banana"])
    found = chains_of(target, 2, 0.95)
    assert found.divergent <= 3
    for name, value in VALUES.items():
        drawn = value(found.z[:, :, 0], found.z[:, :, 1])
        off = float(drawn.mean()) - target.expected(value)
        assert abs(off) < 4.0 * float(drawn.std()) / np.sqrt(effective_size(drawn)), name


def autoregressive(memory: float, seed: int, draws: int = 2000, chains: int = 8) -> Floats:
    rng = np.random.default_rng(seed)
    values = np.empty((draws, chains))
    values[0] = rng.standard_normal(chains)
    for row in range(1, draws):
        fresh = np.sqrt(1.0 - memory**2) * rng.standard_normal(chains)
        values[row] = memory * values[row - 1] + fresh
    return values


@pytest.mark.parametrize("memory", [-0.4, 0.0, 0.5, 0.9])
def test_the_effective_size_of_an_autoregression_is_known(memory: float) -> None:
    values = autoregressive(memory, 5)
    exact = values.size * (1.0 - memory) / (1.0 + memory)
    assert effective_size(values) == pytest.approx(exact, rel=0.15)
    assert bulk_size(np.exp(3.0 * values)) == pytest.approx(exact, rel=0.15)
    assert split_r_hat(values) < 1.02


def test_the_effective_size_of_a_point_is_that_of_a_two_state_chain() -> None:
    """A state kept with chance 0.8 and else drawn anew forgets as an autoregression does."""
    rng = np.random.default_rng(6)
    values = rng.uniform(size=(4000, 6))
    for row in range(1, len(values)):
        stays = rng.uniform(size=6) < 0.8
        values[row] = np.where(stays, values[row - 1], values[row])
    exact = values.size * 0.2 / 1.8
    for share in (0.05, 0.5, 0.95):
        assert point_size(values, share) == pytest.approx(exact, rel=0.2)


def test_chains_apart_or_of_different_width_are_noticed() -> None:
    rng = np.random.default_rng(7)
    same = rng.standard_normal((500, 6))
    assert split_r_hat(same) < 1.01
    assert split_r_hat(same + np.array([0, 0, 0, 0, 0, 1.0])) > 1.05
    assert split_r_hat(same * np.array([1, 1, 1, 1, 1, 3.0])) > 1.05
    assert effective_size(same + np.array([0, 0, 0, 0, 0, 1.0])) < 100.0


def small_tank() -> TankTarget:
    filled = datetime(2026, 3, 1, 12, tzinfo=UTC)
    told = [(2, "ammonia", 1.6), (4, "ammonia", 1.1), (4, "nitrite", 0.3), (5, "nitrite", 0.9)]
    tank = Tank(
        name="small",
        filled=date(2026, 3, 1),
        volume_l=40.0,
        heater_set_point_c=26.0,
        source_water=SourceWater(ph=7.6, kh_dkh=5.0),
        events=(Dose(at=filled, substance="ammonium chloride", target_mg_n_per_l=2.0),),
        kits={"drop": Kit("drop", "drop", ())},
        readings=tuple(
            Reading(
                filled.replace(day=1 + day),
                quantity,
                ReadingValue("exact", level, level, "n", str(level)),
                kit="drop",
            )
            for day, quantity, level in told
        ),
    )
    return TankTarget(timeline(tank, 7), tank.readings, 1, 1)


def test_the_slope_from_lanes_is_that_of_central_differences() -> None:
    target = small_tank()
    unknowns = len(target.names)
    z = 0.7 * np.random.default_rng(8).standard_normal((unknowns, 3))
    value, force = LaneForce(target, np.eye(unknowns))(z)
    wide = 1e-3
    beside = np.repeat(z[:, :, None], 2 * unknowns, axis=2)
    beside[:, :, :unknowns] += wide * np.eye(unknowns)[:, None]
    beside[:, :, unknowns:] -= wide * np.eye(unknowns)[:, None]
    flat = beside.reshape(unknowns, -1)
    told = target.evaluate(flat).log_likelihood - 0.5 * (flat * flat).sum(axis=0)
    told = told.reshape(3, 2, unknowns)
    central = ((told[:, 0] - told[:, 1]) / (2.0 * wide)).T
    assert np.abs(central).max() > 1.0
    np.testing.assert_allclose(force, central, atol=2e-3 * np.abs(central).max())
    exact = target.evaluate(z).log_likelihood - 0.5 * (z * z).sum(axis=0)
    np.testing.assert_allclose(value, exact, atol=1e-9)


def test_few_axes_hold_nearly_all_of_a_tanks_slope() -> None:
    target = small_tank()
    unknowns = len(target.names)
    z = np.random.default_rng(9).standard_normal((unknowns, 12))
    _, whole = slopes(target, z, np.eye(unknowns))
    axes, left_out = steep_axes(target, z, 20)
    np.testing.assert_allclose(axes @ axes.T, np.eye(20), atol=1e-10)
    _, along = slopes(target, z, axes)
    rest = whole - axes.T @ along
    assert (rest**2).sum(axis=0).mean() == pytest.approx(left_out, abs=1e-3)
    assert left_out < 1e-3 * (whole**2).sum(axis=0).mean()


def test_a_point_that_cannot_be_pulls_nowhere() -> None:
    def walled(x: Floats, y: Floats) -> Floats:
        return np.where(x > 0.0, -np.inf, -y)

    z = np.zeros((16, 2))
    z[:2] = [[-1.0, 1.0], [0.5, 0.5]]
    value, force = LaneForce(Plane(walled), np.eye(16)[:2])(z)
    assert np.isneginf(value[1])
    np.testing.assert_allclose(force[:2], [[1.0, -1.0], [-1.5, -0.5]], atol=1e-4)
