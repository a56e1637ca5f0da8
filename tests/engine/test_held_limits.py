"""Whose limits hold, and when: of those present, of those planned, of those nobody named."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from watervane.engine.held_limits import held_limits, stays_of, unnamed_since
from watervane.forecast.harm import Held
from watervane.process.calendar import Calendar
from watervane.records import (
    UNNAMED,
    AnimalsIn,
    AnimalsOut,
    Died,
    Feed,
    Habit,
    LimitEdit,
    Span,
    Tank,
)

FILLED = datetime(2026, 3, 1, tzinfo=UTC)
MEALS = Habit(template=Feed(at=FILLED, mass_g=Span.exact(0.1)), every_days=1, start=FILLED.date())
EMPTY = Tank(name="shelf", filled=date(2026, 3, 1), volume_l=60.0)
CALENDAR = Calendar(EMPTY.filled, "UTC")


def at(day: float) -> datetime:
    return FILLED + timedelta(days=day)


def come(species: str, day: float, count: int = 3) -> AnimalsIn:
    return AnimalsIn(at=at(day), species=species, count=count)


def held(tank: Tank, as_of_d: float = 60.0, until_d: float = 90.0) -> tuple[Held, ...]:
    return held_limits(tank, CALENDAR, as_of_d, until_d).held


def keys(tank: Tank) -> list[str]:
    return [finding.key for finding in held_limits(tank, CALENDAR, 60.0, 90.0).findings]


def test_those_present_and_those_planned_each_from_the_day_they_come() -> None:
    tank = replace(EMPTY, events=(come("guppy", 2), come("neon tetra", 45), come("oto", 70)))
    found = {one.limits[0].animals: one.from_d for one in held(tank)}
    assert found == {("guppy",): -float("inf"), ("neon tetra",): 45.0, ("oto",): 70.0}
    assert keys(tank) == []


def test_those_who_left_or_died_are_held_until_then() -> None:
    events = (
        come("guppy", 2),
        come("neon tetra", 2),
        AnimalsOut(at=at(75), species="guppy", count=3),
        Died(at=at(30), species="neon tetra", count=2),
        Died(at=at(40), species="neon tetra", count=1),
    )
    tank = replace(EMPTY, events=events)
    stays = {stay.animal: (stay.from_d, stay.until_d) for stay in stays_of(tank, CALENDAR, 90)}
    assert stays == {"guppy": (2.0, 75.0), "neon tetra": (2.0, 40.0)}
    (only,) = held(tank)
    assert (only.limits[0].animals, only.until_d) == (("guppy",), 75.0)


def test_nobody_in_the_water_is_harmed_and_that_is_said() -> None:
    assert held(EMPTY) == ()
    assert keys(EMPTY) == ["limits-no-animals"]
    gone = replace(EMPTY, events=(come("guppy", 2), Died(at=at(3), species="guppy", count=3)))
    assert held(gone) == ()
    assert keys(gone) == ["limits-no-animals"]


def test_a_fed_tank_without_animals_told_is_held_to_the_strictest() -> None:
    tank = replace(EMPTY, habits=(MEALS,))
    (only,) = held(tank)
    assert {name for limit in only.limits for name in limit.animals} == {UNNAMED}
    assert keys(tank) == ["limits-unnamed-animals"]


def test_the_keepers_own_figures_hold() -> None:
    edits = (LimitEdit("nitrate_comfort", 3.0, "my well"),)
    (only,) = held(replace(EMPTY, events=(come("guppy", 2),), limit_edits=edits))
    (mine,) = (limit for limit in only.limits if limit.key == "nitrate_comfort")
    assert mine.edited
    assert not any(limit.edited for limit in only.limits if limit is not mine)


def test_food_tells_of_somebody_from_the_first_meal_that_is_one() -> None:
    fast = Feed(at=at(4), mass_g=Span.exact(0.0))
    assert unnamed_since(replace(EMPTY, events=(fast,)), CALENDAR, 90) is None
    meal = Feed(at=at(70), mass_g=Span.exact(0.1))
    fed = replace(EMPTY, events=(fast, meal))
    assert unnamed_since(fed, CALENDAR, 90) == 70.0
    assert unnamed_since(fed, CALENDAR, 60) is None
    (only,) = held(fed)
    assert only.from_d == 70.0


def test_food_before_planned_animals_come_feeds_nobody_unnamed() -> None:
    tank = replace(EMPTY, habits=(MEALS,), events=(come("guppy", 200),))
    assert unnamed_since(tank, CALENDAR, 90) is None
    assert held(tank) == ()
    assert keys(tank) == ["limits-no-animals"]
