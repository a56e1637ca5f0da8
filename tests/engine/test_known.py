"""What is known of a tank at a moment: readings, entries, plans and habits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from watervane.engine.known import as_known, moment_of_forecast, present
from watervane.engine.remarks import unknown_animals
from watervane.process.calendar import Calendar, events_through
from watervane.records import (
    AnimalsIn,
    Dose,
    Feed,
    Habit,
    Reading,
    ReadingValue,
    Span,
    Tank,
    WaterChange,
    plans_begin,
)

UTC = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 12, tzinfo=UTC)


def at(day: float) -> datetime:
    return START + timedelta(days=day)


def reading(day: float) -> Reading:
    return Reading(at(day), "ammonia", ReadingValue("exact", 1.0, 1.0, "n", "1 mg/L as N"))


def dose(day: float) -> Dose:
    return Dose(at=at(day), substance="ammonium chloride", added_mg_n_per_l=2.0)


CHANGES = Habit(template=WaterChange(at=at(7), fraction=0.2), every_days=7, start=date(2026, 3, 8))
TANK = Tank(
    name="A",
    filled=START.date(),
    volume_l=50.0,
    events=tuple(dose(day) for day in (1, 5, 9, 14, 40)),
    habits=(CHANGES,),
    readings=(reading(4), reading(10)),
)


def kept(as_of: float, now: float, tank: Tank = TANK) -> list[float]:
    """Days of the dated events known as of a day."""
    known = as_known(tank, at(as_of), present(tank, at(now)))
    return [(e.at - START) / timedelta(days=1) for e in known.events]


def test_as_of_the_last_reading_every_later_event_is_a_plan() -> None:
    assert kept(as_of=10, now=10) == [1, 5, 9, 14, 40]
    assert kept(as_of=10, now=20) == [1, 5, 9, 14, 40]  # asked again after the plan's day
    assert kept(as_of=11, now=200) == [1, 5, 9, 14, 40]


def test_as_of_a_moment_before_a_reading_only_what_lies_ahead_of_the_present_is_a_plan() -> None:
    assert kept(as_of=4, now=20) == [1, 40]
    assert kept(as_of=4, now=50) == [1]


def test_the_present_is_no_earlier_than_the_last_reading() -> None:
    """By a clock that runs behind, the event on day 9 still came before a reading was made."""
    assert kept(as_of=4, now=2) == [1, 14, 40]


def test_without_readings_whatever_is_dated_later_is_a_plan() -> None:
    assert kept(as_of=4, now=200, tank=replace(TANK, readings=())) == [1, 5, 9, 14, 40]


def test_habits_stay_and_follow_their_own_dates_where_a_later_entry_is_taken_out() -> None:
    own = WaterChange(at=at(7.1), fraction=0.5)
    tank = replace(TANK, events=(*TANK.events, own))
    known = as_known(tank, at(4), present(tank, at(20)))
    assert known.habits == (CHANGES,)
    through = events_through(known, Calendar(START.date(), "UTC"), 8)
    assert [e.fraction for e in through if isinstance(e, WaterChange)] == [0.2]


def test_readings_after_the_moment_are_taken_out() -> None:
    assert [r.at for r in as_known(TANK, at(9), at(20)).readings] == [at(4)]


def test_without_a_told_moment_entries_count_and_plans_do_not() -> None:
    calendar = Calendar(START.date(), "UTC")
    assert moment_of_forecast(TANK, None, calendar, at(12)) == at(10)
    assert moment_of_forecast(TANK, None, calendar, at(15)) == at(14)


days = st.integers(0, 30).map(float)


@given(st.lists(days, max_size=6), st.lists(days, max_size=6), days, days)
def test_what_is_known_grows_with_the_moment_and_never_holds_a_later_entry(
    events: list[float], readings: list[float], as_of: float, now: float
) -> None:
    tank = replace(
        TANK,
        events=tuple(Feed(at=at(d), mass_g=Span.exact(0.1)) for d in events),
        readings=tuple(reading(d) for d in readings),
    )
    moment = present(tank, at(now))
    begin = plans_begin(tank, at(as_of), moment)
    known = as_known(tank, at(as_of), moment)
    assert begin >= at(as_of)
    assert not [e for e in known.events if at(as_of) < e.at <= begin]
    assert [e for e in tank.events if e.at <= at(as_of)] == [
        e for e in known.events if e.at <= at(as_of)
    ]
    if not readings or as_of >= max(readings):
        assert known.events == tank.events


def test_a_name_that_no_table_knows_is_told_of() -> None:
    moment = at(1.0)
    told = (
        AnimalsIn(at=moment, species="unicorn", count=1),
        AnimalsIn(at=moment, species="Danio rerio", count=6),
    )
    tank = Tank(name="t", filled=date(2026, 3, 1), volume_l=60.0, events=told)
    found = unknown_animals(tank)
    assert [(one.key, one.arguments["species"]) for one in found] == [("strange-animal", "unicorn")]
