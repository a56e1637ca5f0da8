"""Deeds reach the members they are meant for, and do what the day program would do."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest

from watervane.inference.priors import prior_members
from watervane.process.daily_noise import DailyNoise
from watervane.process.day_program import Action
from watervane.process.doses import dose_action
from watervane.process.run import initial_state, simulate
from watervane.process.state import COLUMN, WATER
from watervane.process.tending import Deed, after_deeds
from watervane.process.timeline import timeline
from watervane.records import Dose, SourceWater, Tank

TANK = Tank(
    name="bare",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    source_water=SourceWater(chlorine_mg_per_l=0.0, chloramine_mg_per_l=0.0),
)
COUNT = 24
LINE = timeline(TANK, 3)
MEMBERS = prior_members(TANK, np.arange(COUNT), 5)
STATE = initial_state(LINE, MEMBERS)
NOISE = DailyNoise(5, MEMBERS.numbers, {}, 3)
HALF = np.arange(COUNT) % 2 == 0
SALT = dose_action(
    0.0,
    Dose(at=datetime(2026, 3, 1, tzinfo=UTC), substance="ammonium chloride", added_mg_n_per_l=1.0),
    60.0,
)


def test_only_the_ones_meant_are_dosed_each_with_its_own_amount() -> None:
    times = np.linspace(0.5, 3.0, COUNT)
    after = after_deeds(MEMBERS, STATE, 0, NOISE, [Deed(SALT, HALF, times)])
    rise = (after.amounts - STATE.amounts)[COLUMN["ammonia"], 0]
    np.testing.assert_allclose(rise, np.where(HALF, times, 0.0), atol=1e-12)


def test_nobody_meant_nothing_done() -> None:
    assert after_deeds(MEMBERS, STATE, 0, NOISE, [Deed(SALT, np.zeros(COUNT, bool))]) is STATE


def test_a_change_dilutes_those_who_change_towards_their_own_source_water() -> None:
    dosed = after_deeds(MEMBERS, STATE, 0, NOISE, [Deed(SALT, np.ones(COUNT, bool))])
    kept = 0.6
    change = Action(
        0.0,
        {"volume_keep": kept, "fill_to_mark": 1.0},
        {"keep": dict.fromkeys(WATER, kept)},
    )
    after = after_deeds(MEMBERS, dosed, 0, NOISE, [Deed(change, HALF)])
    before, now = (each.amounts[COLUMN["chloride"], 0] for each in (dosed, after))
    source = MEMBERS.source[COLUMN["chloride"]]
    moved = (before - now) / (before - source)
    told = (1.0 - kept) * NOISE.of_day(0)[2][0]  # each pours a little more or less
    np.testing.assert_allclose(moved[HALF], told[HALF], rtol=1e-9)
    np.testing.assert_array_equal(now[~HALF], before[~HALF])


def test_a_deed_is_what_the_day_program_does_at_midnight() -> None:
    times = np.full(COUNT, 2.0)
    by_deed = after_deeds(MEMBERS, STATE, 0, NOISE, [Deed(SALT, np.ones(COUNT, bool), times)])
    one = simulate(LINE, MEMBERS, by_deed, (0, 1), threads=1).final
    twice = dose_action(
        0.0,
        Dose(at=datetime(2026, 3, 1, tzinfo=UTC), substance="ammonium chloride",
             added_mg_n_per_l=2.0),
        60.0,
    )  # fmt: skip
    other = simulate(LINE, MEMBERS, STATE, (0, 1), extra=[twice], threads=1).final
    # the day program cuts the hours after a dose finer
    assert one.amounts[COLUMN["ammonia"]] == pytest.approx(
        other.amounts[COLUMN["ammonia"]], rel=2e-3
    )
