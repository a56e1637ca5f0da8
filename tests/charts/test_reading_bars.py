"""A reading is drawn as tall as what it leaves open."""

from dataclasses import replace

import pytest
from sample_forecasts import moment, sample_tank

from watervane.charts.readings import ReadingBar, reading_bars, step_interval
from watervane.records import KitScale, Reading, ReadingValue

SCALE = KitScale("ammonia", (0.0, 0.3, 0.7, 1.5, 3.0, 6.0), "n")


@pytest.mark.parametrize(
    ("value", "interval"),
    [
        (0.0, (0.0, 0.15)),
        (0.3, (0.15, 0.5)),
        (1.5, (1.1, 2.25)),
        (6.0, (4.5, None)),
        (1.0, (0.85, 1.25)),
    ],
)
def test_steps_reach_half_way_to_their_neighbours(
    value: float, interval: tuple[float, float | None]
) -> None:
    low, high = step_interval(value, SCALE)
    assert low == pytest.approx(interval[0])
    assert high == (None if interval[1] is None else pytest.approx(interval[1]))


def test_a_scale_that_does_not_start_at_zero_is_not_pulled_down_to_it() -> None:
    assert step_interval(6.0, KitScale("ph", (6.0, 6.5, 7.0)))[0] == pytest.approx(5.75)


def one(value: ReadingValue, kit: str | None = None, day: float = 5) -> ReadingBar:
    reading = Reading(at=moment(day), quantity="ammonia", value=value, kit=kit)
    tank = replace(sample_tank(), readings=(reading,))
    return reading_bars(tank, "ammonia", moment(11))[0]


def test_censored_and_ranged_readings() -> None:
    above = one(ReadingValue("above", 5.0, None, "n"))
    assert above.low == 5.0
    assert above.open_top
    below = one(ReadingValue("below", None, 0.3, "n"))
    assert (below.low, below.high) == (0.0, 0.3)
    ranged = one(ReadingValue("range", 0.3, 0.7, "n"), kit="drop")
    assert (ranged.low, ranged.high) == (0.3, 0.7)


def test_without_known_steps_a_reading_is_a_point() -> None:
    bar = one(ReadingValue("exact", 1.2, 1.2, "n"))
    assert bar.low == bar.high == 1.2


def test_later_readings_are_marked_as_not_used() -> None:
    bars = reading_bars(sample_tank(), "nitrite", moment(11))
    assert [bar.used for bar in bars] == [True, True, False, False]


def test_the_source_water_is_not_the_tank() -> None:
    reading = replace(sample_tank().readings[0], of_source_water=True)
    tank = replace(sample_tank(), readings=(reading,))
    assert reading_bars(tank, "ammonia", moment(11)) == ()


@pytest.mark.parametrize("kit", [None, "drop"])
@pytest.mark.parametrize(
    "value",
    [
        ReadingValue("exact", 1.5, 1.5, "n"),
        ReadingValue("range", 0.3, 0.7, "n"),
        ReadingValue("above", 5.0, None, "n"),
        ReadingValue("below", None, 0.3, "n"),
    ],
)
def test_a_thinned_sample_stands_at_what_the_tank_holds(
    value: ReadingValue, kit: str | None
) -> None:
    plain = one(value, kit)
    reading = Reading(moment(5), "ammonia", value, kit=kit, diluted=4.0)
    tank = replace(sample_tank(), readings=(reading,))
    (bar,) = reading_bars(tank, "ammonia", moment(11))
    assert (bar.low, bar.high) == (4.0 * plain.low, 4.0 * plain.high)
    assert bar.open_top == plain.open_top
