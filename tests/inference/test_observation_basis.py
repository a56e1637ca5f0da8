"""A basis that is not told is weighed as a whole, and shared out over the readings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from observation_cases import chi_square, drop, keyed, only_model, read, seen, zeros
from scipy.stats import chi2

from watervane.inference.kits import with_kit_basis
from watervane.inference.observation.ion_basis import conditional_rows
from watervane.kits.sizes import RATIO_ION_TO_N, number
from watervane.records import Kit, KitScale, Reading

RATIO = RATIO_ION_TO_N["nitrite"]
STEPS = (0.0, 0.1, 0.25, 0.5, 1.0)
NITRITE = "nitrite_mg_n_per_l"


def told(values: Sequence[float], basis: str = "unknown") -> list[Reading]:
    return [read(v, day, "nitrite", basis=basis) for day, v in enumerate(values)]


def test_rows_of_a_mixture_sum_to_brute_force_in_every_prefix() -> None:
    rng = np.random.default_rng(2)
    chances = np.array([0.5, 0.3, 0.2])
    rows = rng.normal(-2.0, 1.5, (3, 7, 11))
    found = conditional_rows(np.log(chances), rows)
    for count in range(1, 8):
        whole = np.log((chances[:, None] * np.exp(rows[:, :count].sum(axis=1))).sum(axis=0))
        assert found[:count].sum(axis=0) == pytest.approx(whole)


def test_an_unknown_basis_equals_both_bases_weighed_as_wholes() -> None:
    """Brute force: the kit once as the ion, once as N, each over the whole log."""
    values = (0.25, 0.5, 1.0, 0.5)
    levels = {NITRITE: np.linspace(0.1, 4.0, 50)}
    found = []
    for factor in (1.0, RATIO):
        kit = drop("nitrite", "n", tuple(factor * s for s in STEPS))
        model = only_model(kit, told([factor * v for v in values], "n"))
        rows = model.log_likelihood(
            seen(told(values), levels), {n: np.zeros(50) for n in model.names}
        )
        found.append(rows.sum(axis=0))
    as_ion = number("ion_basis_chance")
    expected = np.logaddexp(np.log(as_ion) + found[0], np.log1p(-as_ion) + found[1])
    kit = drop("nitrite", "unknown", STEPS)
    model = only_model(kit, told(values))
    rows = model.log_likelihood(seen(told(values), levels), zeros(model, 50))
    assert rows.sum(axis=0) == pytest.approx(expected)


def test_once_readings_have_told_the_basis_the_next_is_foretold_by_it() -> None:
    kit = drop("nitrite", "unknown", STEPS)
    same = told([0.5] * 6)
    levels = {NITRITE: np.array([0.5, 0.5 * RATIO])}
    model = only_model(kit, same)
    rows = np.exp(model.log_likelihood(seen(same, levels), zeros(model, 2)))
    assert rows[0, 1] < 0.3 * rows[0, 0]
    assert rows[-1, 1] == pytest.approx(rows[-1, 0], rel=0.05)


def test_a_scale_on_a_told_basis_settles_the_readings_on_it() -> None:
    kit = drop("nitrite", "n", tuple(RATIO * s for s in STEPS))
    (reading,) = told([0.5])
    settled = with_kit_basis(reading, kit)
    assert settled.value.basis == "n"
    assert settled.value.low == pytest.approx(0.5 * RATIO)


def test_a_reading_told_as_nitrogen_moves_the_steps_of_a_scale_without_basis() -> None:
    kit = drop("nitrite", "unknown", STEPS)
    values = [RATIO * 0.5]
    levels = {NITRITE: 0.5 * RATIO}
    model = only_model(kit, told(values, "n"))
    known = only_model(drop("nitrite", "n", [RATIO * s for s in STEPS]), told(values, "n"))
    at = seen(told(values, "n"), levels)
    assert model.log_likelihood(at, zeros(model)) == pytest.approx(
        known.log_likelihood(at, zeros(known))
    )


def test_pairs_of_readings_are_shown_as_often_as_the_group_says() -> None:
    """Two readings of one kit go together: the basis and the habit are drawn once."""
    members = 30_000
    steps = (0.0, 0.3, 0.9)
    kit = drop("nitrite", "unknown", steps)
    both = told([0.0, 0.0])
    level = {NITRITE: np.full(members, 0.5)}
    model = only_model(kit, both)
    shown = model.simulate(seen(both, level), zeros(model, members), keyed(members))
    counts, expected = [], []
    for first in steps:
        for second in steps:
            pair = told([first, second])
            one = only_model(kit, pair)
            rows = one.log_likelihood(seen(pair, {NITRITE: 0.5}), zeros(one))
            expected.append(members * float(np.exp(rows.sum())))
            counts.append(int(((shown[0] == first) & (shown[1] == second)).sum()))
    assert sum(expected) == pytest.approx(members)
    statistic, freedom = chi_square(np.array(counts), np.array(expected))
    assert statistic < chi2.ppf(0.999, freedom)


def test_quantities_without_bases_have_none() -> None:
    kit = Kit("drop", "drop", (KitScale("ph", (6.4, 6.8, 7.2, 7.6), "none"),))
    reading = read(7.2, 1, "ph", basis="none")
    model = only_model(kit, [reading])
    found = model.log_likelihood(seen([reading], {"ph": np.array([7.2, 6.4])}), zeros(model, 2))
    assert found[0, 0] > found[0, 1] + 2.0
