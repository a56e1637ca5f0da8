"""Ammonia oxidisers that go all the way: no nitrite, the same nitrate, the same alkalinity."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from watervane.inference.priors import from_whitened, prior_members
from watervane.process.run import Members, initial_state, simulate
from watervane.process.state import OUTPUT
from watervane.process.timeline import timeline
from watervane.records import AnimalsIn, Feed, Habit, SourceWater, Span, Tank

DAYS = 60


def _courses(share: float) -> dict[str, Any]:
    """Daily courses of the same members with this share of complete oxidisers."""
    morning = datetime(2026, 3, 2, 8, tzinfo=UTC)
    tank = Tank(
        name="two ways",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=8.0, gh_dgh=8.0),
        events=(AnimalsIn(at=morning, species="Danio rerio", count=6, length_cm=3.0),),
        habits=(
            Habit(
                template=Feed(at=morning, mass_g=Span.exact(0.05)),
                every_days=1,
                start=morning.date(),
            ),
        ),
    )
    line = timeline(tank, DAYS)
    drawn = prior_members(tank, np.arange(64), 5)
    told = {**drawn.parameters, "complete_oxidation_share": np.full(64, share)}
    members: Members = replace(drawn, parameters=told)
    stops = [day + 0.3 for day in range(DAYS)]
    found = simulate(line, members, initial_state(line, members), (0, DAYS), stops_d=stops)
    return {name: found.outputs[row] for name, row in OUTPUT.items()}


def test_complete_oxidisers_show_no_nitrite_and_leave_the_same_ammonia_course() -> None:
    two_steps, one_step = _courses(0.0), _courses(1.0)
    assert np.median(two_steps["nitrite_mg_n_per_l"].max(axis=0)) > 0.5
    assert one_step["nitrite_mg_n_per_l"].max() < 0.02
    # The second step takes oxygen but no ammonia, so the first goes on nearly as before.
    apart = np.abs(two_steps["ammonia_mg_n_per_l"] - one_step["ammonia_mg_n_per_l"])
    assert np.median(apart.max(axis=0)) < 0.1


def test_the_nitrogen_that_is_no_nitrite_is_nitrate() -> None:
    two_steps, one_step = _courses(0.0), _courses(1.0)
    names = ("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "nitrate_mg_n_per_l")
    totals = [sum(c[n][20] for n in names) for c in (two_steps, one_step)]
    # Plants, algae and denitrifiers find nitrate sooner, so some members differ by more.
    assert np.median(totals[1] / totals[0]) == pytest.approx(1.0, abs=0.01)


def test_the_prior_is_nearly_none_or_nearly_all_with_the_told_chance() -> None:
    shares = from_whitened(
        "complete_oxidation_share", np.random.default_rng(1).standard_normal(40_000)
    )
    assert (shares > 0.5).mean() == pytest.approx(0.15, abs=0.01)
    assert ((shares > 0.1) & (shares < 0.9)).mean() < 0.2
