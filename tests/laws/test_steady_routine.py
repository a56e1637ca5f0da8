"""A routine run for a year beside its closed form: they agree but for what days are made of.

The only tolerance is `one_day`: the model changes at noon, doses at nine and tops off at nine,
the closed form takes all of it to be spread evenly, so that they may differ by what one day
brings, and by what has not yet decayed of the start.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from functools import cache

import numpy as np
import pytest

from watervane.chemistry.periodic_changes import (
    after_change,
    buffering_spent_dkh,
    steady_peak,
    top_off_gain,
)
from watervane.inference.priors import prior_members
from watervane.process.run import Course, initial_state, simulate
from watervane.process.source_water import MEQ_PER_DKH, MG_N_PER_MMOL
from watervane.process.state import COLUMN
from watervane.process.timeline import timeline
from watervane.records import (
    Dose,
    Feed,
    Filter,
    Habit,
    Media,
    SourceWater,
    Span,
    Tank,
    TopOff,
    WaterChange,
)

MEMBERS, CYCLES, EVERY_D, SHARE = 12, 14, 14, 0.4
FILLED = date(2026, 3, 1)
LAST = CYCLES * EVERY_D
LOAD = 0.4  # mg N/L a day
NITROGEN = ("ammonia", "nitrite", "nitrate")
LEFT_OF_START = (1.0 - SHARE) ** (CYCLES - 1)


@dataclass(frozen=True)
class Ran:
    """The last cycle: just before its change, a day later, and what came in."""

    course: Course
    volume_l: float
    source: dict[str, np.ndarray]

    def peak(self, name: str) -> np.ndarray:
        return self.course.output(name)[-2]

    def trough(self, name: str) -> np.ndarray:
        return self.course.output(name)[-1]

    def nitrogen(self, stop: int) -> np.ndarray:
        """Nitrate, and the little that is still on its way to it. [mg N/L]"""
        return sum(self.course.output(f"{n}_mg_n_per_l")[stop] for n in NITROGEN)

    def buffering(self) -> np.ndarray:
        """Alkalinity, less what the ammonia still there is about to take. [meq/L]"""
        ammonia = self.peak("ammonia_mg_n_per_l") / MG_N_PER_MMOL
        return self.peak("alkalinity_meq_per_l") - 2.0 * ammonia


def _tank(load: Habit, top_off: Habit, source: SourceWater) -> Tank:
    noon = datetime.combine(FILLED, time(12), tzinfo=UTC)
    change = Habit(template=WaterChange(at=noon, fraction=SHARE), every_days=EVERY_D, start=FILLED)
    return Tank(
        name="closed form",
        filled=FILLED,
        volume_l=60.0,
        filter=Filter((Media("sponge", 2.0),), 300.0),
        heater_power_w=100.0,
        heater_set_point_c=25.0,
        air_flow_l_per_h=100.0,
        light_hours=0.0,
        lid=False,
        source_water=source,
        habits=(load, change, top_off),
    )


def _source(kh_dkh: float) -> SourceWater:
    return SourceWater(
        ph=7.8, kh_dkh=kh_dkh, gh_dgh=12.0, nitrate_mg_n_per_l=1.0, chlorine_mg_per_l=0.0,
        chloramine_mg_per_l=0.0,
    )  # fmt: skip


@cache
def _ran(dosed: bool, pure: bool) -> Ran:
    """A year's routine of members that neither denitrify nor grow plants, and have no luck."""
    morning = datetime.combine(FILLED, time(9), tzinfo=UTC)
    load = (
        Dose(at=morning, substance="ammonium chloride", added_mg_n_per_l=LOAD)
        if dosed
        else Feed(at=morning, mass_g=Span.exact(LOAD * 60.0 / 160.0 / 0.42), protein=0.42)
    )
    top_off = TopOff(at=morning, pure=pure)
    tank = _tank(
        Habit(template=load, every_days=1, start=FILLED),
        Habit(template=top_off, every_days=1, start=FILLED),
        _source(8.0 if dosed else 5.0),
    )
    line = timeline(tank, LAST + 2)
    members = prior_members(tank, np.arange(MEMBERS), 3)
    calm = {
        "denitrification_per_d": 0.0, "algal_multiplier": 0.0, "dose_deviation": 0.0,
        "pinch_deviation": 0.0, "food_multiplier": 1.0,
        "initial_ammonia_oxidisers_mg_per_l": 3.0, "initial_nitrite_oxidisers_mg_per_l": 1.5,
    }  # fmt: skip
    theta = {n: np.full(MEMBERS, calm[n]) if n in calm else v
             for n, v in members.parameters.items()}  # fmt: skip
    members = replace(members, parameters=theta)
    at = line.calendar.bounds_d(LAST)[0]
    stops = [at + 0.5 - 1e-4, at + 0.5 + 0.02]
    course = simulate(
        line, members, initial_state(line, members), (0, LAST + 1), stops_d=stops,
        accuracy="screening", threads=1, food_noise=False,
    )  # fmt: skip
    source = {n: members.source[COLUMN[n]] for n in ("nitrate", "alkalinity", "calcium",
                                                     "magnesium")}  # fmt: skip
    return Ran(course, line.geometry["volume_l"], source)


def _load_mg_n_per_l(ran: Ran, *, dosed: bool) -> float:
    return LOAD if dosed else LOAD * 60.0 / ran.volume_l


def _evaporating(ran: Ran) -> np.ndarray:
    """Of a day, from how far the mark was missed three hours after topping off at nine."""
    return (1.0 - ran.peak("volume_ratio")) * 24.0 / 3.0


def _one_day(gain: np.ndarray | float, start: np.ndarray | float) -> np.ndarray:
    """Named tolerance: a day's gain, and what is left of the start after all the cycles."""
    return np.abs(gain) + LEFT_OF_START * np.abs(start)


@pytest.mark.parametrize("dosed", [True, False])
def test_nitrate_comes_to_the_closed_form(dosed: bool) -> None:
    ran = _ran(dosed, True)
    gain = _load_mg_n_per_l(ran, dosed=dosed)
    source = ran.source["nitrate"]
    closed = steady_peak(source, gain, SHARE, EVERY_D)
    off = np.abs(ran.nitrogen(-2) - closed)
    low = np.abs(ran.nitrogen(-1) - after_change(closed, source, SHARE))
    allowed = _one_day(gain, closed - source)
    assert (off <= allowed).all(), off - allowed
    assert (low <= allowed).all(), low - allowed
    assert (closed - source > 10.0 * allowed).all()  # so that it tells something


@pytest.mark.parametrize(("dosed", "of"), [(True, "ammonium"), (False, "food")])
def test_buffering_falls_to_the_closed_form(dosed: bool, of: str) -> None:
    ran = _ran(dosed, True)
    load = _load_mg_n_per_l(ran, dosed=dosed)
    gain = -buffering_spent_dkh(load, of) * MEQ_PER_DKH
    source = ran.source["alkalinity"]
    closed = steady_peak(source, gain, SHARE, EVERY_D)
    off = np.abs(ran.buffering() - closed)
    allowed = _one_day(gain, closed - source)
    assert (off <= allowed).all(), off - allowed
    other = 2.0 if of == "food" else 0.5
    wrong = steady_peak(source, other * gain, SHARE, EVERY_D)
    assert (np.abs(wrong - closed) > 3.0 * allowed).all()  # the other stoichiometry would fail


@pytest.mark.parametrize("pure", [True, False])
def test_minerals_build_up_to_the_closed_form(pure: bool) -> None:
    ran = _ran(False, pure)
    source = ran.source["calcium"] + ran.source["magnesium"]
    evaporated = _evaporating(ran)
    gain = top_off_gain(0.0 if pure else source, evaporated)
    closed = steady_peak(source, gain, SHARE, EVERY_D)
    # A few hours' evaporation is still missing when it is looked at.
    allowed = _one_day(evaporated * closed, closed - source)
    off = np.abs(ran.peak("minerals_mmol_per_l") - closed)
    assert (off <= allowed).all(), off / closed
    if not pure:
        assert (closed - source > 5.0 * allowed).all()
