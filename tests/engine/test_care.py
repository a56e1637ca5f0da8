"""Care of a year: lanes side by side, bounds, cleaning, food; a whole tank among the slow ones."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_rehearse import AS_OF, _tank

from watervane.engine.care import care
from watervane.engine.care_bounds import Windows, first_week_passed, keeps, reach_of
from watervane.engine.care_cleaning import portion_cleaned
from watervane.engine.care_food import food_told, foods_of, need_of, work_of
from watervane.engine.care_gains import gains_of
from watervane.engine.care_ground import stratified
from watervane.engine.care_lanes import (
    Lane,
    is_warm,
    run_lanes,
    warm_month,
    with_warm_months,
    without_changes,
)
from watervane.engine.care_return import returned, step_limits
from watervane.engine.futures import Standing, limits_of, stand
from watervane.engine.stage import set_stage
from watervane.planning.water_of_state import gh_dgh, water_of
from watervane.process.calendar import Calendar
from watervane.process.colony_care import clean_action
from watervane.process.food_need import food_need_g_per_d
from watervane.process.run import Members, chosen_state
from watervane.process.state import COLUMN, TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    AllowedRisk,
    Clean,
    EquipmentChange,
    Habit,
    SourceWater,
    Span,
    Tank,
    TopOff,
    WaterChange,
)
from watervane.records.care import Routine, RoutineTried

FEW = 6


@cache
def _standing() -> Standing:
    return stand(replace(_tank(), readings=()), as_of=AS_OF, now=AS_OF, members=20, threads=1)


def _begin() -> tuple[Timeline, Members, TankState, int]:
    one = _standing()
    plan = without_changes(one.tank, one.as_of)
    line = timeline(plan, one.today + 120)
    index = np.arange(FEW)
    return line, one.members.chosen(index), chosen_state(one.state, index), one.today


def test_lanes_do_not_know_each_other() -> None:
    begin = _begin()
    lanes = [Lane(0.3, 7), Lane(0.0), Lane(0.5, 14, pure=True)]
    together = run_lanes(*begin, lanes, weeks=3)
    alone = run_lanes(*begin, lanes[2:], weeks=3)[0]
    assert np.allclose(together[2].course.outputs, alone.course.outputs, rtol=1e-12, atol=1e-12)
    nitrate = [ran.course.output("nitrate_mg_n_per_l")[-1].mean() for ran in together]
    assert nitrate[0] < nitrate[1]
    assert nitrate[2] < nitrate[1]
    salts = [ran.conductivity[-1].mean() for ran in together]
    assert salts[2] < salts[1]


def test_gains_are_what_a_mass_balance_tells() -> None:
    """GH comes from topping off alone, so that a run with pure water gains none."""
    line, members, state, first = _begin()
    (ran,) = run_lanes(line, members, state, first, [Lane(0.25, 7, pure=True)], weeks=4)
    gains = gains_of(ran, members.source, range(1, 3))
    assert np.allclose(gains.gain["gh"], 0.0, atol=1e-6)
    assert (gains.gain["nitrate"] > 0.0).all()
    assert (gains.gain["kh"] < 0.0).all()
    assert (gains.evaporating > 0.0).all()


def test_changes_are_due_on_whole_weeks_and_every_second_is_left_out() -> None:
    lane = Lane(0.25, 14)
    assert [week for week in range(9) if lane.due(week)] == [2, 4, 6, 8]
    assert [week for week in range(9) if replace(lane, made=2).due(week)] == [4, 8]
    assert not any(Lane(0.0, 7).due(week) for week in range(9))


def test_the_plan_s_own_changes_end_and_nothing_tops_off_by_itself() -> None:
    tank = _tank()
    change = WaterChange(at=AS_OF, fraction=0.3)
    habit = Habit(template=change, every_days=7, start=date(2026, 3, 3))
    later = replace(change, at=AS_OF + timedelta(days=30))
    plan = without_changes(replace(tank, habits=(*tank.habits, habit), events=(later,)), AS_OF)
    assert later not in plan.events
    ended = [h for h in plan.habits if isinstance(h.template, WaterChange)]
    assert {h.until for h in ended} == {AS_OF.date()}
    assert any(isinstance(h.template, TopOff) for h in plan.habits)


@pytest.mark.parametrize(
    ("zone", "month"), [("Europe/Lisbon", 6), ("UTC", 6), ("Australia/Sydney", 12)]
)
def test_the_warm_months_are_those_of_the_hemisphere(zone: str, month: int) -> None:
    calendar = Calendar(date(2026, 3, 1), zone)
    assert warm_month(calendar, 10) == month
    tank = replace(_tank(), time_zone=zone, room_temperature_c=19.0)
    warm, first = with_warm_months(tank, calendar, 10, 364)
    rooms = {
        e.at.month: e.changes["room_temperature_c"]
        for e in warm.events
        if isinstance(e, EquipmentChange)
    }
    assert first == month
    assert rooms[month] == 24.0
    assert rooms[(month + 2) % 12 + 1] == 19.0
    assert sum(is_warm(each, month) for each in range(1, 13)) == 3


def _window(*shares: float) -> Windows:
    return Windows("nitrate_comfort", "above", 10.0, ("Danio rerio",), np.array(shares))


def test_a_bound_is_kept_in_the_worst_four_weeks_and_excused_where_nobody_keeps_it() -> None:
    key, other = ("comfort", "nitrate"), ("comfort", "ph")
    good = {key: _window(0.1, 0.1, 0.1, 0.2), other: _window(1.0, 1.0, 1.0, 1.0)}
    bad = {key: _window(0.1, 0.1, 0.1, 0.1, 0.6), other: _window(1.0, 1.0, 1.0, 1.0)}
    reach = reach_of([good, bad], AllowedRisk(), 80)
    assert keeps(reach.bounds(good))
    assert not keeps(reach.bounds(bad))
    assert [b.subject for b in reach.bounds(good) if b.out_of_reach] == ["ph"]
    assert first_week_passed(bad, reach) == 20
    assert first_week_passed(good, reach) is None


def test_a_portion_cleaned_lies_between_nothing_and_all() -> None:
    whole = clean_action(0.0, Clean(at=AS_OF, part="filter", how="tank water")).habitats
    for name, shares in whole.items():
        half = portion_cleaned("filter", 0.5).habitats[name]
        assert portion_cleaned("filter", 1.0).habitats[name] == pytest.approx(list(shares))
        assert portion_cleaned("filter", 0.0).habitats[name] == [1.0, 1.0, 1.0]
        assert half == pytest.approx([0.5 * (1.0 + share) for share in shares])


def test_food_alone_by_hand() -> None:
    """0.3 mg N/L a day: 0.20 dKH each mg, and (0.3 x 28) / (10 - 1.6) of the water."""
    foods = foods_of(0.2, np.ones(3), Span(0.05, 0.1))
    assert (foods.times, foods.held_by) == ((1.0, 0.75, 0.5), "need")
    kept = RoutineTried(Routine(0.3, 7, "tap", 18.0, 80.0, 0.75), "candidate", True, None)
    worse = replace(kept, routine=replace(kept.routine, minutes_per_month=90.0))
    told = food_told(foods, 0.3, 1.6, 10.0, [worse, kept, replace(kept, keeps=False)])
    assert [level.food_g_per_d for level in told.levels] == pytest.approx([0.2, 0.15, 0.1])
    spent = [level.kh_spent_dkh_per_month for level in told.levels]
    assert spent[0] == pytest.approx(0.2002 * 0.3 * 365.25 / 12, rel=1e-3)
    assert [level.closed_share for level in told.levels] == pytest.approx([1.0, 0.75, 0.5])
    assert [level.least for level in told.levels] == [None, kept.routine, None]
    assert food_told(foods, 3.0, 1.6, 10.0, []).levels[0].closed_share is None


@given(
    planned=st.floats(0.0, 5.0),
    need=st.none() | st.floats(0.001, 3.0),
    wrong=st.floats(0.3, 3.0),
)
def test_nobody_is_fed_less_than_the_tables_say(
    planned: float, need: float | None, wrong: float
) -> None:
    """Whatever a keeper's gram really is: of what is given, not of what is told."""
    span = None if need is None else Span(need, 2.25 * need)
    foods = foods_of(planned, np.full(4, wrong), span)
    assert list(foods.times) == sorted(set(foods.times), reverse=True)
    fed = [times * wrong * planned for times in foods.times]
    if span is None or planned == 0.0:
        assert foods.times == (1.0,)
    elif wrong * planned < span.low:  # nothing is worked out for hungry animals
        assert fed == pytest.approx([span.low])
    else:
        assert foods.times[0] == 1.0
        assert all(each >= min(span.high, fed[0]) - 1e-9 for each in fed)
        assert foods.times[-1] >= 0.5


def test_the_need_is_that_of_all_animals_by_the_table() -> None:
    one = food_need_g_per_d(0.3, 25.0)
    told = need_of({"Danio rerio": 6, "gone": 0}, {"Danio rerio": 0.3, "gone": 9.0}, 25.0)
    assert told is not None
    assert (told.low, told.high) == pytest.approx((6 * one.low, 6 * one.high))
    assert need_of({"gone": 0}, {"gone": 9.0}, 25.0) is None


def test_less_food_must_save_a_fifth_of_the_work() -> None:
    full = Routine(0.3, 7, "tap", 18.0, 100.0)
    assert work_of(replace(full, food=0.7, minutes_per_month=81.0), 1.0) > work_of(full, 1.0)
    assert work_of(replace(full, food=0.7, minutes_per_month=79.0), 1.0) < work_of(full, 1.0)


def test_members_are_chosen_evenly() -> None:
    by = np.array([5.0, 1.0, 3.0, 2.0, 4.0, 0.0])
    assert sorted(by[stratified(by, 3)]) == [1.0, 3.0, 5.0]
    assert len(stratified(by, 50)) == 6


def test_the_water_of_a_state_is_that_of_a_litre_present() -> None:
    one = _standing()
    water = water_of(one.state)
    present = np.asarray(one.state.volume_ratio[0])
    held = np.asarray(one.state.amounts)[COLUMN["nitrate"], 0]
    assert np.allclose(np.asarray(water.nitrate_mg_n_per_l) * present, held)
    assert np.allclose(np.asarray(water.ph), np.asarray(one.state.ph[0]), atol=1e-6)
    assert (gh_dgh(water) > 0.0).all()


def test_a_tank_that_drifted_comes_back_in_the_run_and_one_that_did_not_is_left_alone() -> None:
    line, members, state, first = _begin()
    limits = limits_of(_standing())
    assert step_limits(limits).ph_change == 0.5
    same = returned(line, members, state, first, limits, 0.25)
    assert (same.plan, same.first) == (None, first)
    amounts = np.array(state.amounts)
    amounts[COLUMN["alkalinity"]] *= 0.03
    amounts[COLUMN["ammonia"]] += 2.0
    amounts[COLUMN["nitrate"]] += 40.0
    amounts[COLUMN["inorganic_carbon"]] = 0.25
    drifted = state._replace(amounts=amounts, ph=np.full_like(np.asarray(state.ph), 6.0))
    back = returned(line, members, drifted, first, limits, 0.25)
    assert back.plan is not None
    assert back.plan.reached
    assert back.first == first + len(back.plan.steps)
    assert back.plan.harm == 0.0
    kh = [step.kh_dkh.p50 for step in back.plan.steps]
    rises = np.diff([0.03 * 5.0, *kh])
    assert (rises <= 1.0 + 0.1).all(), rises  # nitrification between steps takes a little
    assert back.plan.careless["kh"] > 1.0


@cache
def _soft_tank() -> Tank:
    """A mature tank on soft water, well fed."""
    tank = replace(_tank(), readings=())
    return replace(
        tank, source_water=SourceWater(ph=7.2, kh_dkh=3.0, gh_dgh=5.0, nitrate_mg_n_per_l=1.0)
    )


@pytest.mark.slow
def test_the_care_of_a_whole_tank(monkeypatch: pytest.MonkeyPatch) -> None:
    as_of = AS_OF + timedelta(days=60)
    stage = set_stage(_soft_tank(), as_of=as_of, now=as_of, members=100, threads=1, horizon_days=1)
    monkeypatch.setattr("watervane.engine.care.set_stage", lambda *_, **__: stage)
    found = care(_soft_tank())
    assert found.chosen is not None
    kept = [each for each in found.tried if each.keeps]
    assert kept, "in a tank that a bucket can keep in bounds"
    assert found.chosen.keeps
    chosen = found.chosen.routine
    least = min(kept, key=lambda each: each.routine.minutes_per_month).routine
    assert work_of(chosen, 1.0) >= least.minutes_per_month
    assert chosen.food in {level.times for level in found.food.levels}
    need = found.food.need_g_per_d
    assert need is not None
    given = chosen.food * found.food.planned_g_per_d * (found.food.given_times.p50 or 0.0)
    assert given >= need.low * (1.0 - 1e-9)
    assert {each.kind for each in found.neglect} == {"half-share", "every-second"}
    assert {level.quantity for level in found.steady} == {"nitrate", "kh", "gh", "conductivity"}
    for level in found.steady:
        assert level.closed.p05 is not None
        assert level.run.p50 is not None
        assert level.closed.p95 is not None
        assert 0.9 * level.closed.p05 <= level.run.p50 <= 1.1 * level.closed.p95
    assert found.heat.evaporated_l_per_week > 0.0
    again = care(_soft_tank())
    assert replace(again, diagnostics=found.diagnostics) == found
