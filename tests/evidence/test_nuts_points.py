"""Points of two samplers held against each other, where the answer is known."""

from __future__ import annotations

import numpy as np
import pytest
from evidence.nuts_points import Draws, compare

from watervane.inference.target import Floats

RUNS, MEMBERS, CHAINS = 3, 4000, 300


def members(values: Floats, *, alike: int = 1) -> Draws:
    """Runs whose members come in families, each the same ``alike`` times."""
    runs = [np.repeat(run, alike) for run in np.split(values, RUNS)]
    return Draws.of_members(runs, [np.repeat(np.arange(len(run) // alike), alike) for run in runs])


def test_the_same_distribution_is_apart_by_chance_alone() -> None:
    rng = np.random.default_rng(1)
    apart, chance = [], []
    for _ in range(40):
        ours = members(rng.standard_normal(RUNS * MEMBERS // 4), alike=4)
        found = compare(ours, Draws.of_chains(rng.standard_normal((20, CHAINS))), end=None)
        apart.append(found.apart)
        chance.append(found.chance)
    ratio = np.array(apart) / np.array(chance)
    assert ours.size == pytest.approx(RUNS * MEMBERS // 4, rel=0.15)
    assert np.sqrt((ratio**2).mean(axis=0)) == pytest.approx(1.0, abs=0.35)


def test_a_shift_is_told_in_spreads() -> None:
    rng = np.random.default_rng(2)
    ours = members(5.0 + 2.0 * rng.standard_normal(RUNS * MEMBERS))
    nuts = Draws.of_chains(4.2 + 2.0 * rng.standard_normal((40, CHAINS)))
    found = compare(ours, nuts, end=None)
    assert found.apart == pytest.approx((0.4, 0.4, 0.4), abs=0.08)
    assert max(found.chance) < 0.05


def test_whole_days_are_spread_over_their_length_and_late_ones_told_as_later() -> None:
    rng = np.random.default_rng(3)
    days = [np.minimum(np.round(80.0 + 8.0 * rng.standard_normal(n)), 90.0) for n in (12000, 9000)]
    found = compare(members(days[0]), Draws.of_chains(days[1].reshape(30, CHAINS)), end=90.0)
    assert found.ours[1] == pytest.approx(80.0, abs=0.3)
    assert found.nuts[2] == np.inf
    assert found.ours_share == pytest.approx(0.88, abs=0.02)
    assert max(map(abs, found.apart)) < 0.1
