"""Each member's tests are read, and only a high one is answered with a change."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from watervane.advice.acts import change, check, with_acts
from watervane.engine.answered import answered
from watervane.engine.futures import Standing, future, stand
from watervane.engine.marks_to_read import marks_to_read
from watervane.limits import Water, limits_for
from watervane.process.run import Course
from watervane.records import AnimalsIn, Feed, Habit, Kit, KitScale, SourceWater, Span, Tank

AS_OF = datetime(2026, 3, 14, 18, tzinfo=UTC)
DAYS = 8
NEVER, ALWAYS = 1e6, 1e-6  # mg N/L, before and behind all a test can show


@cache
def _standing() -> Standing:
    morning = datetime(2026, 3, 2, 8, tzinfo=UTC)
    tank = Tank(
        name="by the stairs",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=6.0, gh_dgh=8.0, nitrate_mg_n_per_l=0.0,
                                 chlorine_mg_per_l=0.0, chloramine_mg_per_l=0.0),
        events=(AnimalsIn(at=morning, species="Danio rerio", count=8, length_cm=3.5),),
        habits=(
            Habit(template=Feed(at=morning, mass_g=Span.exact(0.4)), every_days=1,
                  start=date(2026, 3, 2)),
        ),
    )  # fmt: skip
    return stand(tank, as_of=AS_OF, members=60, seed=5, now=AS_OF)


def _ammonia(level: float, times: int = 6, every_d: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    standing = _standing()
    told = check(AS_OF, 0.5, 60.0, (times, every_d), (("ammonia", level),))
    found = answered(standing, standing.tank, told, DAYS, 25.0)
    return _noon(found.course), found.changes


def _noon(course: Course) -> np.ndarray:
    """Ammonia at noon of the last day, by member. [mg N/L]"""
    place = int(np.abs(course.stops_d - (_standing().today + DAYS - 0.5)).argmin())
    return course.output("ammonia_mg_n_per_l")[place]


def test_where_no_test_is_ever_high_the_water_goes_as_planned() -> None:
    standing = _standing()
    last, changes = _ammonia(NEVER)
    planned = _noon(future(standing, standing.tank, DAYS))
    assert (changes == 0).all()
    np.testing.assert_allclose(last, planned, rtol=2e-3)


def test_where_every_test_is_high_it_is_changed_each_time() -> None:
    """As a plan of as many changes does, but half a day later each time."""
    standing = _standing()
    last, changes = _ammonia(ALWAYS, times=3, every_d=2.0)
    acts = [change(AS_OF + timedelta(days=2), 0.5, 60.0, 3, 2.0)]
    tank = with_acts(standing.tank, acts, standing.calendar, 25.0)
    planned = _noon(future(standing, tank, DAYS))
    assert (changes == 3).all()
    assert np.median(last / planned) == pytest.approx(1.0, abs=0.15)


def test_a_lower_mark_leaves_less_and_asks_for_more_changes() -> None:
    found = [_ammonia(level) for level in (0.3, 1.0, 3.0)]
    changes = [float(each.mean()) for _, each in found]
    left = [float(np.mean(each)) for each, _ in found]
    assert changes == sorted(changes, reverse=True)
    assert left == sorted(left)
    assert changes[0] > changes[-1]
    some = found[1][1]
    assert some.min() < some.max(), "each member answers its own readings"


@pytest.mark.parametrize("basis", ["n", "ion"])
def test_marks_are_steps_of_the_keepers_kit_under_what_harms(basis: str) -> None:
    steps = (0.0, 0.2, 0.4, 0.8, 1.6, 3.2)
    kits = [Kit("drops", scales=(KitScale("nitrite", steps=steps, basis=basis),))]
    water = Water(ph=np.array([7.5]), temperature_c=np.array([25.0]),
                  chloride_mg_per_l=np.array([19.0]), ammonia_mg_n_per_l=np.array([0.0]),
                  nitrite_mg_n_per_l=np.array([0.0]))  # fmt: skip
    marks = marks_to_read(limits_for(["guppy"]), water, kits)["nitrite"]
    factor = 46.006 / 14.007 if basis == "ion" else 1.0  # of NO2 to N, by mass
    assert all(
        any(mark * factor == pytest.approx(step, rel=1e-3) for step in steps) for mark in marks
    )
    assert marks == tuple(sorted(marks))
    # limits.csv, dolezelova2011: a third of the 96-h LC50 of guppy at 19 mg Cl/L.
    assert max(marks) < 3.065


def test_without_a_kit_a_mark_has_one_digit() -> None:
    water = Water(ph=7.5, temperature_c=25.0, chloride_mg_per_l=19.0,
                  ammonia_mg_n_per_l=0.0, nitrite_mg_n_per_l=0.0)  # fmt: skip
    marks = marks_to_read(limits_for(["guppy"]), water, [])
    assert set(marks) == {"ammonia", "nitrite"}
    for mark in (*marks["ammonia"], *marks["nitrite"]):
        assert mark == float(f"{mark:.1g}")
