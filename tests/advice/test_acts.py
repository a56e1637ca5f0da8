"""Acts change what is planned and nothing that was."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.advice import acts
from watervane.advice.menu import Setting, finer, later, put_off, singles, together
from watervane.process.calendar import Calendar, events_through
from watervane.process.timeline import timeline
from watervane.records import AnimalsOut, Dose, Feed, Habit, Span, Tank, WaterChange

AT = datetime(2026, 3, 10, 18, 30, tzinfo=UTC)
MORNING = datetime(2026, 3, 1, 8, tzinfo=UTC)
CALENDAR = Calendar(date(2026, 3, 1), "UTC")
TANK = Tank(
    name="by the door",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    habits=(
        Habit(template=Feed(at=MORNING, mass_g=Span(0.1, 0.2)), every_days=1,
              start=date(2026, 3, 1)),
        Habit(template=WaterChange(at=MORNING, fraction=0.2), every_days=7,
              start=date(2026, 3, 3)),
    ),
)  # fmt: skip
SETTING = Setting(
    at=AT,
    volume_l=60.0,
    in_doubt=frozenset({"ammonia", "oxygen"}),
    fed=True,
    animals={"Danio rerio": 5, "goldfish": 1},
    masses_g={"Danio rerio": 0.5, "goldfish": 20.0},
    air_l_per_h=0.0,
    warmth_c=25.0,
    chloride_mg_per_l=20.0,
    hot=False,
)


def _meals(tank: Tank) -> dict[date, float]:
    return {e.at.date(): e.mass_g.high for e in events_through(tank, CALENDAR, 20)
            if isinstance(e, Feed)}  # fmt: skip


def test_a_fast_leaves_out_meals_to_come_and_no_others() -> None:
    meals = _meals(acts.with_acts(TANK, [acts.fast(AT, 2.0)], CALENDAR))
    assert meals[date(2026, 3, 10)] == 0.2, "this morning's meal was eaten"
    assert meals[date(2026, 3, 11)] == meals[date(2026, 3, 12)] == 0.0
    assert meals[date(2026, 3, 13)] == 0.2
    assert len(meals) == 21


def test_less_food_halves_meals() -> None:
    meals = _meals(acts.with_acts(TANK, [acts.less_food(AT, 7.0)], CALENDAR))
    assert meals[date(2026, 3, 12)] == pytest.approx(0.1)


def test_repeated_changes_are_dated_and_take_the_place_of_the_habit_on_their_day() -> None:
    act = acts.change(AT, 0.3, 60.0, times=4, every_d=2.0)
    tank = acts.with_acts(TANK, [act], CALENDAR, temperature_c=24.5)
    days = {e.at.date(): e for e in events_through(tank, CALENDAR, 20)
            if isinstance(e, WaterChange)}  # fmt: skip
    for k in range(4):
        done = days[AT.date() + timedelta(days=2 * k)]
        assert (done.fraction, done.temperature_c) == (0.3, 24.5)
    assert days[date(2026, 3, 17)].fraction == 0.2
    assert days[date(2026, 3, 3)].fraction == 0.2


def test_the_heaviest_animals_are_moved_first() -> None:
    out = [act for (act, *_) in singles(SETTING) if act.kind == "move-out"]
    assert [(act.what, act.amount) for act in out] == [("goldfish", 1.0)]
    (event,) = acts.events_of(out[0])
    assert isinstance(event, AnimalsOut)


def test_nothing_is_tried_where_nothing_is_in_doubt() -> None:
    from dataclasses import replace

    assert singles(replace(SETTING, in_doubt=frozenset())) == []


def test_the_menu_holds_each_way_once_and_every_act_can_be_done() -> None:
    from dataclasses import replace

    subjects = frozenset({"ammonia", "nitrite", "oxygen", "chlorine", "ph_below", "temperature"})
    setting = replace(SETTING, in_doubt=subjects)
    ways = [*singles(setting), *together([singles(setting)[0]], setting)]
    assert len(ways) == len(set(ways))
    for way in ways:
        acts.with_acts(TANK, way, CALENDAR, 25.0)
    kinds = {act.kind for way in ways for act in way}
    assert {"change", "fast", "less-food", "air", "clear", "seed", "condition", "salt", "buffer",
            "warm", "move-out", "zeolite"} == kinds  # fmt: skip


def test_zeolite_is_tried_against_ammonia_in_fresh_water_only() -> None:
    from dataclasses import replace

    setting = replace(SETTING, in_doubt=frozenset({"ammonia"}))
    (tried,) = [act for (act, *_) in singles(setting) if act.kind == "zeolite"]
    (event,) = acts.events_of(tried)
    assert isinstance(event, Dose)
    assert (event.substance, event.mass_g) == ("zeolite", Span.exact(tried.amount))
    for other in (
        replace(setting, chloride_mg_per_l=5000.0),
        replace(setting, in_doubt=frozenset({"nitrite"})),
    ):
        assert not any(act.kind == "zeolite" for (act, *_) in singles(other))


def test_more_air_runs_from_the_step_on_and_not_before() -> None:
    tank = acts.with_acts(TANK, [acts.air(AT, 80.0)], CALENDAR)
    assert tank.air_flow_l_per_h == TANK.air_flow_l_per_h
    line = timeline(tank, 40)
    at_d = CALENDAR.days(AT)
    assert line.setting("air_flow_l_per_h", at_d - 0.01, 0.0) == (TANK.air_flow_l_per_h or 0.0)
    assert line.setting("air_flow_l_per_h", at_d + 0.01, 0.0) == 80.0


def test_doses_are_those_of_stoichiometry() -> None:
    """58.44 g of salt hold 35.45 g of chloride; 84.0 g of bicarbonate one equivalent."""
    from dataclasses import replace

    setting = replace(SETTING, in_doubt=frozenset({"nitrite", "alkalinity"}))
    doses = {act.kind: act.amount for (act, *_) in singles(setting) if act.unit == "g"}
    assert doses["salt"] == pytest.approx(80.0 * 60.0 / 1000.0 * 58.44 / 35.45, rel=0.02)
    assert doses["buffer"] == pytest.approx(0.3566 * 60.0 * 84.0 / 1000.0, rel=0.05)


def test_a_change_is_cut_down_by_notches_to_the_next_smaller_one_tried() -> None:
    way = (acts.change(AT, 0.5, 60.0), acts.fast(AT, 2.0))
    tried = [way, (acts.change(AT, 0.3, 60.0), acts.fast(AT, 2.0)), (acts.change(AT, 0.4, 60.0),)]
    shares = [other[0].amount for other in finer(way, tried, SETTING)]
    assert shares == [0.45, 0.4, 0.35]
    assert list(finer((acts.fast(AT, 2.0),), tried, SETTING)) == []


def test_one_change_can_be_put_off_whole_or_smaller_with_all_else_as_it_was() -> None:
    way = (acts.change(AT, 0.5, 60.0), acts.fast(AT, 2.0))
    moved = list(later(way, SETTING))
    assert [each[0].wait_d for each in moved] == [1.0, 2.0, 3.0]
    for each in moved:
        assert each[0].at == AT + timedelta(days=each[0].wait_d)
        assert each[0].amount < 0.5
        assert each[0].minutes < way[0].minutes
        assert each[1] is way[1]
    whole = put_off(way, SETTING, 2.0)
    assert whole is not None
    assert (whole[0].amount, whole[0].minutes) == (0.5, way[0].minutes)
    event = acts.events_of(whole[0])[0]
    assert event.at == AT + timedelta(days=2)


def test_what_is_done_again_waits_for_a_test_or_waits_already_is_not_put_off() -> None:
    daily = (acts.change(AT, 0.3, 60.0, 7, 1.0),)
    read = (acts.check(AT, 0.5, 60.0, (3, 2.0), (("ammonia", 1.0),)),)
    waits = put_off((acts.change(AT, 0.3, 60.0),), SETTING, 1.0)
    assert waits is not None
    for way in (daily, read, waits, (acts.fast(AT, 2.0),), (*daily, *waits)):
        assert list(later(way, SETTING)) == []


def test_a_change_that_is_put_off_is_cut_down_on_its_own_day() -> None:
    waits = put_off((acts.change(AT, 0.3, 60.0),), SETTING, 2.0)
    assert waits is not None
    smaller = list(finer(waits, [waits], SETTING))
    assert [each[0].amount for each in smaller] == [0.25, 0.2, 0.15, 0.1, 0.05]
    assert {(each[0].at, each[0].wait_d) for each in smaller} == {(AT + timedelta(days=2), 2.0)}
