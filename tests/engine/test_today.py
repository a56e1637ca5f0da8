"""The day's verdict and steps: laws that hold for any tank, and what each step does besides."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from watervane.advice.acts import change, with_acts
from watervane.advice.weighing import SLACK
from watervane.engine import today
from watervane.engine.futures import Standing, future, limits_of, stand
from watervane.engine.today import HURRIES, _ph_told, today_of
from watervane.forecast.harm_after import chance_by_tier, harm_after
from watervane.process.day_grid import USUAL
from watervane.records import (
    AllowedRisk,
    AnimalsIn,
    Dose,
    Feed,
    Habit,
    LimitEdit,
    Reading,
    ReadingValue,
    Seed,
    SourceWater,
    Span,
    Tank,
    Today,
    WaterChange,
)

FILLED = date(2026, 3, 1)
MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)
AS_OF = datetime(2026, 3, 14, 18, tzinfo=UTC)
MEMBERS = 120


def _tank(*, food_g: float = 0.1, fish: int = 6, **told: Any) -> Tank:
    """An invented tank without seed, a fortnight old."""
    usual = Tank(
        name="by the door",
        filled=FILLED,
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=6.0, gh_dgh=8.0, nitrate_mg_n_per_l=0.0,
                                 chlorine_mg_per_l=0.0, chloramine_mg_per_l=0.0),
        events=(AnimalsIn(at=MORNING, species="Danio rerio", count=fish, length_cm=3.5),),
        habits=(
            Habit(template=Feed(at=MORNING, mass_g=Span.exact(food_g)), every_days=1,
                  start=date(2026, 3, 2)),
        ),
    )  # fmt: skip
    return replace(usual, **told)


def _today(tank: Tank, **told: Any) -> Today:
    return today(tank, as_of=AS_OF, members=MEMBERS, seed=5, now=AS_OF, **told)


@cache
def _standing(food_g: float = 0.6) -> Standing:
    return stand(_tank(food_g=food_g), as_of=AS_OF, members=MEMBERS, seed=5, now=AS_OF)


@cache
def _overfed() -> Today:
    return today_of(_standing(), seed=5)


def test_a_lightly_stocked_seeded_tank_is_left_alone() -> None:
    tank = _tank(food_g=0.03, fish=3)
    seeded = replace(tank, events=(*tank.events, Seed(at=MORNING, source="media", volume_l=0.5)))
    found = _today(seeded)
    assert found.verdict.key in ("nothing-points-to-harm", "out-of-range")
    assert found.chosen is not None
    assert found.chosen.acts == ()
    assert found.emergency == ()


def test_an_overfed_unseeded_tank_is_changed_and_the_chosen_way_leaves_less_harm() -> None:
    found = _overfed()
    assert found.verdict.key != "nothing-points-to-harm"
    assert found.chosen is not None
    assert found.planned is not None
    assert any(act.kind == "change" for act in found.chosen.acts)
    for tier in ("acute", "chronic"):
        assert found.chosen.chances[tier] <= found.planned.chances[tier]
    assert found.planned is found.frontier[0]


@pytest.mark.slow
def test_a_keeper_who_accepts_less_harm_is_never_left_with_more() -> None:
    chances = []
    for risk in (0.5, 0.02):
        chosen = today_of(_standing(), seed=5, allowed=AllowedRisk(acute=risk)).chosen
        assert chosen is not None
        chances.append(chosen.chances["acute"])
    assert chances[0] >= chances[1] - 0.01


def test_the_tanks_own_risk_is_what_counts_where_none_is_told() -> None:
    own = AllowedRisk(acute=0.99, chronic=0.98, comfort=0.97)
    standing = _standing()
    found = today_of(replace(standing, tank=replace(standing.tank, allowed_risk=own)), seed=5)
    assert found.allowed == own
    assert found.good_enough == ("acute", "chronic", "comfort")
    assert found.chosen is not None
    assert found.planned is not None
    assert found.chosen.minutes <= found.planned.minutes
    assert _overfed().allowed == AllowedRisk()


@pytest.mark.slow
def test_coarse_steps_and_a_part_of_the_members_choose_as_all_of_them_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Screening may only save time."""
    module = sys.modules["watervane.engine.week_ways"]
    quick = replace(_standing(), threads=1)
    monkeypatch.setattr(module, "SCREENED", 60)
    screened = today_of(quick, seed=5)
    monkeypatch.setattr(module, "SCREENED", MEMBERS)
    monkeypatch.setitem(USUAL, "screening", USUAL["sampling"])
    whole = today_of(quick, seed=5)
    assert screened.chosen is not None
    assert whole.chosen is not None
    assert screened.chosen.acts
    kinds = [
        sorted((a.kind, a.times) for a in d.chosen.acts) for d in (screened, whole) if d.chosen
    ]
    assert kinds[0] == kinds[1]
    assert screened.chosen.minutes == pytest.approx(whole.chosen.minutes, rel=0.15)
    # What is said of the chosen way comes from all members in steps of the usual length; it may
    # be a notch more or less of the same.
    near = 1e-9 if screened.chosen.acts == whole.chosen.acts else 0.05
    for tier, chance in whole.chosen.chances.items():
        assert screened.chosen.chances[tier] == pytest.approx(chance, abs=near)


def test_more_dilution_never_raises_nitrate_where_the_tap_has_none() -> None:
    standing = _standing()
    nitrates = []
    for share in (0.0, 0.2, 0.5, 0.8):
        acts = [change(AS_OF + timedelta(hours=1), share, 60.0)] if share else []
        course = future(standing, with_acts(standing.tank, acts, standing.calendar), 4)
        evening = int(np.searchsorted(course.stops_d, standing.as_of_d + 0.1))
        nitrates.append(course.output("nitrate_mg_n_per_l")[evening])
    for less, more in pairwise(nitrates):
        assert (more <= less + 1e-9).all()


def test_risk_falls_as_more_water_may_be_changed() -> None:
    """Of ammonia, with water that brings none: each larger change leaves no more members harmed."""
    standing, limits = _standing(), limits_of(_standing())
    chances = []
    for share in (0.0, 0.25, 0.5, 0.75):
        acts = [change(AS_OF + timedelta(minutes=30), share, 60.0)] if share else []
        course = future(standing, with_acts(standing.tank, acts, standing.calendar, 25.0), 8)
        after = harm_after(course, limits, standing.as_of_d + 1 / 48, standing.as_of_d + 7.0)
        ammonia = {key: each for key, each in after.items() if key[1] == "ammonia"}
        chances.append(chance_by_tier(ammonia)["chronic"])
    assert chances == sorted(chances, reverse=True)
    assert chances[-1] < chances[0]


def test_a_change_is_judged_by_all_it_brings() -> None:
    """The same change with soft water, and with alkaline water that frees the ammonia."""
    acid = _tank(source_water=SourceWater(ph=6.6, kh_dkh=1.0, gh_dgh=4.0, chlorine_mg_per_l=0.0,
                                          chloramine_mg_per_l=0.0))  # fmt: skip
    acid = replace(acid, events=(
        *acid.events,
        Dose(at=MORNING, substance="ammonium chloride", added_mg_n_per_l=8.0),
    ))  # fmt: skip
    standing = stand(acid, as_of=AS_OF, members=60, seed=5, now=AS_OF)
    at = AS_OF + timedelta(minutes=30)
    waters = {
        "own": {},
        "alkaline": {"ph": 8.6, "kh_dkh": 12.0},
    }
    free = {}
    for name, water in waters.items():
        event = WaterChange(at=at, fraction=0.4, water=water, temperature_c=25.0)
        course = future(standing, replace(standing.tank, events=(*standing.tank.events, event)), 3)
        free[name] = course.output("free_ammonia_mg_n_per_l").max(axis=0)
    assert (free["alkaline"] > 2.0 * free["own"]).mean() > 0.9


def test_a_cold_refill_shows_as_a_jump_of_temperature() -> None:
    standing, at = _standing(), AS_OF + timedelta(minutes=30)
    worst = {}
    for temperature_c in (25.0, 10.0):
        event = WaterChange(at=at, fraction=0.5, temperature_c=temperature_c)
        course = future(standing, replace(standing.tank, events=(*standing.tank.events, event)), 3)
        after = harm_after(
            course, limits_of(standing), standing.as_of_d + 1 / 48, standing.as_of_d + 2.0
        )
        worst[temperature_c] = after["acute", "temperature_change"].passed.mean()
    assert worst[25.0] == 0.0
    assert worst[10.0] > 0.9


def test_nobody_in_the_tank_means_nobody_is_harmed_and_nothing_is_advised() -> None:
    found = _today(_tank(events=(), habits=()))
    assert found.verdict.key == "no-animals"
    assert found.chosen is None
    assert found.frontier == ()


@pytest.mark.slow
def test_chlorine_in_the_water_is_an_emergency_and_conditioner_is_tried() -> None:
    raw = SourceWater(ph=7.6, kh_dkh=6.0, chlorine_mg_per_l=1.5, chloramine_mg_per_l=0.0)
    tank = _tank(source_water=raw)
    poured = WaterChange(at=AS_OF - timedelta(minutes=20), fraction=0.5, conditioner=False,
                         temperature_c=25.0)  # fmt: skip
    found = _today(replace(tank, events=(*tank.events, poured)))
    assert found.verdict.key == "emergency"
    assert found.verdict.leading is not None
    assert found.verdict.leading.subject == "chlorine"
    assert "aid-act-dechlorinate" in [each.key for each in found.emergency]


@pytest.mark.slow
def test_same_question_same_answer_whatever_the_threads() -> None:
    one = today_of(_standing(), seed=5)
    two = today_of(replace(_standing(), threads=1), seed=5)
    assert one.chosen == two.chosen
    assert one.verdict == two.verdict


@pytest.mark.slow
def test_a_reading_that_would_tell_is_named_with_both_answers() -> None:
    value = ReadingValue("exact", 1.5, 1.5, "n")
    read = Reading(AS_OF - timedelta(hours=1), "ammonia", value)
    found = _today(_tank(readings=(read,), source_water=SourceWater()))
    swing = found.verdict.swing
    assert swing is not None, "of a tap nobody told of, pH is open"
    assert swing.if_low != pytest.approx(swing.if_high, abs=0.1)
    harm = found.verdict.leading
    assert harm is not None
    mean = swing.chance_low * swing.if_low + swing.chance_high * swing.if_high
    assert mean == pytest.approx(harm.soon, abs=1e-6), (
        "beliefs after a test average to those before"
    )
    assert np.isclose(swing.chance_low + swing.chance_high, 1.0)


@pytest.mark.parametrize(
    ("level", "share"),
    [
        pytest.param(16.0, 0.2, marks=pytest.mark.slow),
        (14.0, 0.3),
        pytest.param(12.0, 0.4, marks=pytest.mark.slow),
    ],
)
def test_where_little_is_uncertain_the_change_is_that_of_dilution(
    level: float, share: float
) -> None:
    """20 mg N/L of nitrate, none in the tap: to keep under L takes 1 - L / 20 of the water."""
    tank = _tank(food_g=0.005, fish=2)
    nitrate = Dose(at=MORNING, substance="potassium nitrate", mass_g=Span.exact(
        20.0 * 60.0 / 1000.0 * 101.1032 / 14.0067))  # fmt: skip
    tank = replace(
        tank,
        events=(*tank.events, nitrate, Seed(at=MORNING, source="media", volume_l=0.5)),
        limit_edits=(
            LimitEdit("nitrate_comfort", level),
            LimitEdit("nitrate_chronic", 80.0),
            LimitEdit("ph_comfort_above", 12.0),
        ),
    )
    found = _today(tank, allowed=AllowedRisk(comfort=0.5))
    assert found.chosen is not None
    (act,) = [act for act in found.chosen.acts if act.kind == "change"]
    assert act.times == 1
    assert act.amount == pytest.approx(share, abs=0.051), "one notch: the week adds a little"


@pytest.mark.slow
def test_a_higher_reading_never_gives_a_milder_verdict() -> None:
    """Members may write a reading off; the verdict may not."""
    grave = ("nothing-points-to-harm", "out-of-range", "strain-possible", "harm-possible",
             "strain-likely", "reading-harmful", "harm-likely", "emergency")  # fmt: skip
    ranks = []
    for level in (0.2, 2.5, 6.0):
        value = ReadingValue("exact", level, level, "n")
        tank = _tank(food_g=0.02, readings=(Reading(AS_OF, "ammonia", value),),
                     source_water=SourceWater(ph=8.2, kh_dkh=8.0))  # fmt: skip
        ranks.append(grave.index(_today(tank).verdict.key))
    assert ranks == sorted(ranks)
    assert ranks[-1] >= grave.index("reading-harmful")


def test_a_change_that_can_wait_serves_as_well_on_that_day() -> None:
    """In a young tank fed lightly: judged once more by a run of its own."""
    standing = _standing(0.05)
    found = today_of(standing, seed=5)
    assert found.chosen is not None
    (act,) = found.chosen.acts
    assert (act.kind, act.wait_d) == ("change", 0.0)
    assert found.can_wait_d > 0.0
    chances = {}
    for days in (0.0, found.can_wait_d):
        late = replace(act, at=act.at + timedelta(days=days))
        tank = with_acts(standing.tank, [late], standing.calendar, found.warmth_c)
        course, begin = future(standing, tank, 8), standing.calendar.days(act.at)
        after = harm_after(course, limits_of(standing), begin, standing.as_of_d + 7.0)
        chances[days] = chance_by_tier(after)
    assert chances[0.0] == pytest.approx(dict(found.chosen.chances), abs=1e-9)
    late_chances = chances[found.can_wait_d]
    for tier in ("acute", "chronic"):
        assert tier in found.good_enough
        assert late_chances[tier] <= found.allowed.of(tier)
    assert late_chances["comfort"] <= chances[0.0]["comfort"] + SLACK["comfort"]


def test_where_harm_is_likely_no_change_is_put_off() -> None:
    found = _overfed()
    assert found.verdict.key in HURRIES
    assert found.can_wait_d == 0.0
    assert all(act.wait_d == 0.0 for way in found.frontier for act in way.acts)


def test_a_ph_that_was_read_is_told_in_the_hour_and_one_that_was_not_is_to_be_read() -> None:
    standing = _standing()
    course = future(standing, standing.tank, 2)
    assert _ph_told(standing, course) is None
    read = Reading(AS_OF - timedelta(hours=1), "ph", ReadingValue("exact", 7.5, 7.5, "none", "7.5"))
    tank = replace(standing.tank, readings=(read,))
    told = _ph_told(replace(standing, tank=tank), course)
    assert told == pytest.approx(float(np.median(course.output("ph")[-1])), abs=0.5)
    old = replace(read, at=AS_OF - timedelta(days=4))
    assert _ph_told(replace(standing, tank=replace(tank, readings=(old,))), course) is None
