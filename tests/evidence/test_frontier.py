"""What is told of novices' tanks: water of a calendar in proportion, hours nobody could help."""

import pytest
from evidence.closed_loop_frontier import water_for
from evidence.closed_loop_section import hours_before

LINE = [(100.0, 50.0), (0.0, 80.0), (300.0, 10.0)]


@pytest.mark.parametrize(
    ("hours", "litres"), [(90.0, 0.0), (80.0, 0.0), (65.0, 50.0), (30.0, 200.0), (10.0, 300.0)]
)
def test_water_lies_between_the_calendars(hours: float, litres: float) -> None:
    assert water_for(hours, LINE) == pytest.approx(litres)


def test_no_calendar_is_enough_for_fewer_hours_than_any_leaves() -> None:
    assert water_for(5.0, LINE) is None


def test_hours_before_the_first_visit_are_taken_from_both_sides() -> None:
    kept = {
        "a": {"load": "normal", "nothing": {"chronic": 300.0}, "our steps": {"chronic": 150.0}},
        "b": {"load": "normal", "nothing": {"chronic": 900.0}, "our steps": {"chronic": 900.0}},
        "c": {"load": "overloaded", "nothing": {"chronic": 80.0}, "our steps": {"chronic": 80.0}},
    }
    first = {"a": {"chronic": 100.0}, "c": {"chronic": 80.0}}
    (told,) = hours_before(kept, first)  # of b nothing is known, of c nothing came after
    assert "of 150 chronic animal-hours left in 1 tanks, 100 were over" in told
    assert "75 % fewer" in told
    assert "overloaded" not in told
