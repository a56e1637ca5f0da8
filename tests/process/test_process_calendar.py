"""Local days as stretches of time, and habits as dated events."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.process.calendar import Calendar, events_through
from watervane.records import Feed, Habit, Span, Tank, WaterChange

LISBON = ZoneInfo("Europe/Lisbon")
FILLED = date(2026, 3, 1)
SPRING, AUTUMN = 28, 238  # 29 March and 25 October 2026


def _calendar() -> Calendar:
    return Calendar(FILLED, "Europe/Lisbon")


@pytest.mark.parametrize(("day", "hours"), [(0, 24), (SPRING, 23), (SPRING + 1, 24), (AUTUMN, 25)])
def test_a_local_day_has_its_true_length(day: int, hours: int) -> None:
    begin, end = _calendar().bounds_d(day)
    assert (end - begin) * 24 == pytest.approx(hours, abs=1e-9)


def test_days_follow_each_other_without_gap() -> None:
    calendar = _calendar()
    bounds = [calendar.bounds_d(d) for d in range(366)]
    assert bounds[0][0] == 0.0
    assert all(a[1] == b[0] for a, b in pairwise(bounds))
    assert bounds[364][1] == pytest.approx(365.0, abs=1e-9)


def test_a_clock_time_keeps_its_hour_across_the_clock_change() -> None:
    calendar = _calendar()
    for day in (SPRING - 1, SPRING, SPRING + 1, AUTUMN, AUTUMN + 1):
        moment = calendar.moment(calendar.at_clock_d(day, time(18, 30)))
        assert (moment.date(), moment.time()) == (calendar.date(day), time(18, 30))
    before = calendar.at_clock_d(SPRING - 1, time(18))
    assert (calendar.at_clock_d(SPRING, time(18)) - before) * 24 == pytest.approx(23.0)


@given(st.integers(0, 400 * 24 * 60))
def test_moment_undoes_days(minutes: int) -> None:
    calendar = _calendar()
    moment = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    back = calendar.moment(calendar.days(moment))
    assert abs((back - moment).total_seconds()) < 1e-3


def test_a_moment_without_zone_is_local() -> None:
    calendar = Calendar(FILLED, "Asia/Kolkata")
    assert calendar.days(datetime(2026, 3, 1, 12)) == pytest.approx(0.5)


MEAL = Feed(at=datetime(2026, 3, 2, 18, tzinfo=LISBON), mass_g=Span.exact(0.05))
CHANGE = WaterChange(at=datetime(2026, 3, 8, 12, tzinfo=LISBON), fraction=0.2)


def _tank(**fields: object) -> Tank:
    return replace(Tank(name="t", filled=FILLED, time_zone="Europe/Lisbon"), **fields)


def _dates(tank: Tank, last: int) -> list[date]:
    return [e.at.date() for e in events_through(tank, _calendar(), last)]


def test_a_habit_is_written_out_to_its_last_day() -> None:
    habit = Habit(template=MEAL, every_days=2, start=date(2026, 3, 2), until=date(2026, 3, 8))
    assert [d.day for d in _dates(_tank(habits=(habit,)), 30)] == [2, 4, 6, 8]
    assert [d.day for d in _dates(_tank(habits=(replace(habit, until=None),)), 6)] == [2, 4, 6]


def test_a_fractional_habit_keeps_its_mean_rate() -> None:
    habit = Habit(template=CHANGE, every_days=3.5, start=date(2026, 3, 1))
    assert len(_dates(_tank(habits=(habit,)), 69)) == 20


def test_a_dated_event_of_the_same_kind_overrides_that_day_only() -> None:
    habit = Habit(template=MEAL, every_days=1, start=date(2026, 3, 2))
    feast = replace(MEAL, at=datetime(2026, 3, 4, 9, tzinfo=LISBON), mass_g=Span.exact(0.2))
    change = replace(CHANGE, at=datetime(2026, 3, 5, 9, tzinfo=LISBON))
    events = events_through(_tank(events=(feast, change), habits=(habit,)), _calendar(), 5)
    meals = [(e.at.day, e.mass_g.low) for e in events if isinstance(e, Feed)]
    assert meals == [(2, 0.05), (3, 0.05), (4, 0.2), (5, 0.05), (6, 0.05)]
    assert sum(isinstance(e, WaterChange) for e in events) == 1


def test_events_come_in_time_order() -> None:
    habit = Habit(template=MEAL, every_days=1, start=date(2026, 3, 2))
    events = events_through(_tank(events=(CHANGE,), habits=(habit,)), _calendar(), 20)
    calendar = _calendar()
    times = [calendar.days(e.at) for e in events]
    assert times == sorted(times)


def test_a_habit_in_another_zone_keeps_the_tank_s_clock() -> None:
    meal = replace(MEAL, at=datetime(2026, 3, 2, 18, tzinfo=UTC))
    habit = Habit(template=meal, every_days=1, start=date(2026, 3, 2))
    events = events_through(_tank(habits=(habit,)), _calendar(), SPRING + 1)
    assert {e.at.astimezone(LISBON).hour for e in events} == {18}
