"""What was learned, held against cases in which the answer is known exactly."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.forecast.taught import (
    HEAVIEST_TAIL,
    distance_d,
    learned,
    still_open,
    tail_shape,
    told_alone,
    weighted_date_d,
    weights_without,
)

MEMBERS = 4000
RNG = np.random.default_rng(5)


def test_nothing_is_learned_of_the_prior_but_once_in_a_thousand() -> None:
    z = RNG.standard_normal((2000, 200))
    names = [str(i) for i in range(len(z))]
    assert len(learned(names, z, 200.0)) <= 8


def test_a_known_posterior_gives_its_certainty_and_shift() -> None:
    """One reading of z with error 0.5: spread^2 0.2, middle 0.8 times the reading."""
    z = np.stack(
        [0.8 * 1.5 + np.sqrt(0.2) * RNG.standard_normal(MEMBERS), RNG.standard_normal(MEMBERS)]
    )
    (one,) = learned(["rate", "other"], z, MEMBERS)
    assert one.name == "rate"
    assert one.certainty == pytest.approx(0.8, abs=0.02)
    assert one.shift == pytest.approx(1.2, abs=0.03)


def test_few_effective_members_are_not_taken_for_knowledge() -> None:
    z = 0.25 + 0.9 * RNG.standard_normal((1, MEMBERS))
    assert learned(["rate"], z, MEMBERS)
    assert not learned(["rate"], z, 20.0)


def test_what_the_date_hangs_on_comes_first_and_chance_never() -> None:
    z = RNG.standard_normal((30, MEMBERS))
    date = 20.0 + 6.0 * z[3] + 3.0 * z[7] + RNG.standard_normal(MEMBERS)
    found = still_open([str(i) for i in range(30)], z, date)
    assert [one.name for one in found] == ["3", "7"]
    assert found[0].weight == pytest.approx(36.0 / 46.0, abs=0.05)


def test_members_that_never_get_there_rank_last() -> None:
    z = RNG.standard_normal((2, MEMBERS))
    date = np.where(z[0] > 1.0, np.inf, 20.0 + z[0])
    (one,) = still_open(["rate", "other"], z, date)
    assert one.name == "rate"
    assert not still_open(["rate", "other"], z, np.full(MEMBERS, np.inf))


def test_a_reading_taken_out_leaves_the_posterior_of_the_others() -> None:
    """Readings y_k of z with errors s_k: every posterior is normal and known."""
    errors, values = np.array([0.8, 1.5, 0.6]), np.array([0.5, -1.0, 2.0])
    precision = 1.0 + (errors**-2).sum()
    middle = (values / errors**2).sum() / precision
    z = middle + RNG.standard_normal(40_000) / np.sqrt(precision)
    each = -0.5 * ((values[:, None] - z) / errors[:, None]) ** 2
    assert tail_shape(each, 2) > HEAVIEST_TAIL, "it says when weights cannot do it"
    for out in range(2):
        assert tail_shape(each, out) < HEAVIEST_TAIL
        weights, effective = weights_without(each, out)
        rest = [k for k in range(3) if k != out]
        precise = 1.0 + (errors[rest] ** -2).sum()
        expected = (values[rest] / errors[rest] ** 2).sum() / precise
        assert (weights * z).sum() == pytest.approx(expected, abs=0.06)
        assert effective < len(z)
    worths = [weights_without(each, out)[1] for out in range(3)]
    assert worths[1] == max(worths), "the roughest reading is the one least missed"


def test_what_a_reading_tells_alone_is_the_divergence_it_makes() -> None:
    """Of normals: ln(s0/s1) + (s1^2 + (m1 - m0)^2) / (2 s0^2) - 1/2, with and without it."""
    errors, values = np.array([1.2, 1.5]), np.array([0.5, -0.4])
    precision = 1.0 + (errors**-2).sum()
    middle = (values / errors**2).sum() / precision
    z = middle + RNG.standard_normal(200_000) / np.sqrt(precision)
    each = -0.5 * ((values[:, None] - z) / errors[:, None]) ** 2
    for out, told in enumerate(told_alone(each)):
        rest = 1 - out
        variance = 1.0 / (1.0 + errors[rest] ** -2)
        before = variance * values[rest] / errors[rest] ** 2
        exact = (
            0.5 * np.log(variance * precision)
            + (1.0 / precision + (middle - before) ** 2) / (2.0 * variance)
            - 0.5
        )
        assert told == pytest.approx(exact, rel=0.05)


def test_the_distance_of_two_shifted_dates_is_their_shift() -> None:
    date = np.concatenate([np.full(500, 10.0), np.full(500, 14.0)])
    weights = np.concatenate([np.zeros(500), np.full(500, 1.0 / 500)])
    assert distance_d(date, weights, 60.0) == pytest.approx(2.0, abs=1e-9)
    assert distance_d(date, np.full(1000, 0.001), 60.0) == pytest.approx(0.0, abs=1e-9)


def test_a_weighted_date_counts_members_by_weight() -> None:
    date = np.array([10.0, 20.0, np.inf])
    assert weighted_date_d(date, np.array([0.1, 0.5, 0.4]), 0.5) == 20.0
    assert weighted_date_d(date, np.array([0.1, 0.1, 0.8]), 0.5) == np.inf
