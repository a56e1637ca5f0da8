"""What was learned, held against cases in which the answer is known exactly."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.forecast.taught import learned, still_open

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
    found = still_open([str(i) for i in range(30)], z, date, MEMBERS)
    assert [one.name for one in found] == ["3", "7"]
    assert found[0].weight == pytest.approx(36.0 / 46.0, abs=0.05)


def test_members_that_never_get_there_rank_last() -> None:
    z = RNG.standard_normal((2, MEMBERS))
    date = np.where(z[0] > 1.0, np.inf, 20.0 + z[0])
    (one,) = still_open(["rate", "other"], z, date, MEMBERS)
    assert one.name == "rate"
    assert not still_open(["rate", "other"], z, np.full(MEMBERS, np.inf), MEMBERS)


def test_with_few_effective_members_no_weak_bond_is_named() -> None:
    z = RNG.standard_normal((1, 400))
    date = 20.0 + 2.0 * z[0] + 4.0 * RNG.standard_normal(400)
    assert still_open(["rate"], z, date, 400.0)
    assert not still_open(["rate"], z, date, 25.0)
