"""Water of a calendar that leaves no more hours: between calendars in proportion."""

import pytest
from evidence.closed_loop_frontier import water_for

LINE = [(100.0, 50.0), (0.0, 80.0), (300.0, 10.0)]


@pytest.mark.parametrize(
    ("hours", "litres"), [(90.0, 0.0), (80.0, 0.0), (65.0, 50.0), (30.0, 200.0), (10.0, 300.0)]
)
def test_water_lies_between_the_calendars(hours: float, litres: float) -> None:
    assert water_for(hours, LINE) == pytest.approx(litres)


def test_no_calendar_is_enough_for_fewer_hours_than_any_leaves() -> None:
    assert water_for(5.0, LINE) is None
