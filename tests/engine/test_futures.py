"""Futures of one standing share their chance, and go on from where the tank stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from watervane.engine.futures import (
    Standing,
    future,
    limits_of,
    never_started,
    population,
    stand,
)
from watervane.records import AnimalsIn, Dose, Feed, Habit, SourceWater, Span, Tank, WaterChange

MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)
AS_OF = datetime(2026, 3, 12, 18, tzinfo=UTC)


@cache
def _standing() -> Standing:
    tank = Tank(
        name="by the door",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        source_water=SourceWater(chlorine_mg_per_l=0.0, chloramine_mg_per_l=0.0),
        events=(AnimalsIn(at=MORNING, species="Danio rerio", count=6, length_cm=3.0),),
        habits=(
            Habit(template=Feed(at=MORNING, mass_g=Span.exact(0.1)), every_days=1,
                  start=date(2026, 3, 2)),
        ),
    )  # fmt: skip
    return stand(tank, as_of=AS_OF, members=60, seed=3, now=AS_OF)


def test_the_same_future_twice_is_the_same_to_the_last_digit() -> None:
    standing = _standing()
    one, two = (future(standing, standing.tank, 4, threads=count) for count in (1, 2))
    np.testing.assert_array_equal(one.outputs, two.outputs)


def test_some_members_go_where_all_of_them_go() -> None:
    standing = _standing()
    index = np.arange(0, 60, 7)
    few, every = future(standing.some(index), standing.tank, 3), future(standing, standing.tank, 3)
    np.testing.assert_allclose(few.outputs, every.outputs[..., index], rtol=1e-9, atol=1e-12)


def test_nothing_changes_before_what_is_done_and_a_change_dilutes() -> None:
    standing = _standing()
    at = AS_OF + timedelta(hours=1)
    tank = replace(standing.tank, events=(*standing.tank.events, WaterChange(at=at, fraction=0.5)))
    plan, changed = (future(standing, each, 3) for each in (standing.tank, tank))
    at_d = standing.calendar.days(at)
    before = [i for i, t in enumerate(changed.stops_d) if t <= at_d]
    both = np.isin(plan.stops_d, changed.stops_d[before])
    np.testing.assert_allclose(
        changed.output("ammonia_mg_n_per_l")[before][
            np.isin(changed.stops_d[before], plan.stops_d)
        ],
        plan.output("ammonia_mg_n_per_l")[both],
        rtol=0.02,
    )  # rows of the day are cut differently
    place = int(np.searchsorted(changed.stops_d, at_d))
    ammonia = changed.output("ammonia_mg_n_per_l")
    kept = ammonia[place + 1] / ammonia[place]
    assert np.median(kept) == pytest.approx(0.5, abs=0.04), "half, more or less"
    assert kept.max() < 1.0


def test_the_limits_are_those_of_the_animals_present() -> None:
    standing = _standing()
    assert {n for n, c in population(standing).counts.items() if c} == {"Danio rerio"}
    assert limits_of(standing)
    unnamed = replace(standing, tank=replace(standing.tank, events=()))
    strict = {limit.key for limit in limits_of(unnamed)}
    assert strict > {"nitrite_acute_very_sensitive"}, "fed, so somebody lives there"
    empty = replace(standing, tank=replace(standing.tank, events=(), habits=()))
    assert limits_of(empty) == ()
    later = AnimalsIn(at=MORNING + timedelta(days=300), species="guppy", count=2)
    planned = replace(standing, tank=replace(standing.tank, events=(later,)))
    assert limits_of(planned) == (), "fed for animals that are named, and not in yet"


@pytest.mark.parametrize("hour", [1, 23])
def test_a_tank_can_stand_on_the_day_it_was_filled(hour: int) -> None:
    moment = datetime(2026, 3, 1, hour, tzinfo=UTC)
    standing = stand(Tank(name="new", filled=date(2026, 3, 1), volume_l=40.0), as_of=moment,
                     members=20, now=moment)  # fmt: skip
    assert standing.today == 0
    assert future(standing, standing.tank, 2).stops_d[0] == pytest.approx(0.0)


def test_a_tank_that_nothing_ever_fed_is_said_never_to_have_been_started() -> None:
    standing = _standing()
    assert never_started(standing) == ()
    conditioned = Dose(at=MORNING, substance="conditioner")
    bare = replace(standing, tank=replace(standing.tank, events=(conditioned,), habits=()))
    assert [finding.key for finding in never_started(bare)] == ["tank-never-started"]
    dosed = Dose(at=MORNING, substance="ammonium chloride", added_mg_n_per_l=2.0)
    assert never_started(replace(bare, tank=replace(bare.tank, events=(dosed,)))) == ()
