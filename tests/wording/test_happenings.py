"""Habits are written out day by day; a single event overrides its day."""

from dataclasses import replace
from datetime import date

from sample_forecasts import moment, sample_tank

from watervane.records import WaterChange
from watervane.wording.happenings import happenings


def test_habits_reach_to_the_end_and_meals_are_not_flagged() -> None:
    found = happenings(sample_tank(), moment(45), moment(45), moment(45))
    changes = [item.at.date() for item in found if item.letter == "W"]
    assert changes == [
        date(2026, 3, 12),
        *(date(2026, 3, d) for d in (16, 23, 30)),
        date(2026, 4, 6),
        date(2026, 4, 13),
    ]
    assert {item.letter for item in found} == {"A", "D", "W"}


def test_a_single_event_overrides_the_habit_of_its_day() -> None:
    tank = sample_tank()
    double = WaterChange(at=moment(22.2), fraction=0.5)
    tank = replace(tank, events=(*tank.events, double))
    on_day = [
        item
        for item in happenings(tank, moment(45), moment(45), moment(45))
        if item.at.date() == date(2026, 3, 23)
    ]
    assert [item.label for item in on_day] == ["water change 50 %"]


def test_a_habit_keeps_its_hour_across_the_clock_change() -> None:
    found = happenings(sample_tank(), moment(45), moment(45), moment(45))
    hours = {item.at.hour for item in found if item.letter == "W"}
    assert hours == {11}


def test_what_was_logged_later_is_marked_and_a_plan_is_not() -> None:
    tank = sample_tank()
    later = WaterChange(at=moment(13), fraction=0.5)
    planned = WaterChange(at=moment(18), fraction=0.5)
    tank = replace(tank, events=(*tank.events, later, planned))
    found = happenings(tank, moment(12), moment(20), moment(14))
    letters = {item.at: item.letter for item in found}
    assert letters[moment(13)] == "w"
    assert letters[moment(18)] == "W"
    assert "not used" in next(item.label for item in found if item.at == moment(13))
