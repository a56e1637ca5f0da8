"""What keepers know of where the colonies live; common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache

import numpy as np
import pytest

from watervane.engine.booked import Books, books_of
from watervane.engine.colonies import colonies_of
from watervane.engine.ledger import member_books
from watervane.records import (
    AnimalsIn,
    Bed,
    Colonies,
    Feed,
    Filter,
    Habit,
    Media,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
BEGAN = datetime(2026, 3, 2, 8, tzinfo=UTC)
SMALL, LARGE = Filter((Media("sponge", 0.15),), 200.0), Filter((Media("sponge", 4.0),), 600.0)
GRAVEL, NONE = Bed("gravel", 4.0, 3.0), Bed("none")
TANK = Tank(
    name="mature",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    heater_power_w=60.0,
    heater_set_point_c=25.0,
    source_water=SourceWater(ph=7.6, kh_dkh=8.0, gh_dgh=8.0, chloramine_mg_per_l=0.0),
    events=(AnimalsIn(at=BEGAN, species="Danio rerio", count=10, length_cm=3.5),),
    habits=(
        Habit(
            template=Feed(at=BEGAN, mass_g=Span.exact(0.25)), every_days=1.0, start=date(2026, 3, 2)
        ),
        Habit(template=WaterChange(at=BEGAN, fraction=0.5), every_days=7.0, start=date(2026, 3, 9)),
    ),
)


@cache
def _books(filter_: Filter, bed: Bed) -> Books:
    tank = replace(TANK, filter=filter_, bed=bed)
    return books_of(tank, as_of=NOW, now=NOW, horizon_days=7, members=32, threads=1)


@cache
def _found(filter_: Filter, bed: Bed) -> Colonies:
    return colonies_of(_books(filter_, bed))


def _shares(found: Colonies, habitat: str) -> list[float]:
    return [one.parts[habitat].living_share.p50 or 0.0 for one in found.guilds.values()]


def test_most_bacteria_live_in_the_bed_where_the_filter_is_small() -> None:
    assert min(_shares(_found(SMALL, GRAVEL), "bed")) > 0.5


def test_most_bacteria_live_in_the_filter_where_it_is_large_and_nothing_lies_on_the_floor() -> None:
    assert min(_shares(_found(LARGE, NONE), "filter")) > 0.5


def test_a_filter_lost_costs_a_bare_tank_far_more_than_one_with_a_bed() -> None:
    bare, bedded = (
        _found(filter_, bed).guilds["ammonia"].losses["filter-lost"].taken.p50 or 0.0
        for filter_, bed in ((LARGE, NONE), (SMALL, GRAVEL))
    )
    assert bare > 2.0 * bedded


def test_rinsing_in_tank_water_costs_less_than_under_the_tap_and_that_less_than_new_media() -> None:
    for colony in _found(LARGE, NONE).guilds.values():
        gentle, tap, lost = (
            colony.losses[name].taken.p50 or 0.0
            for name in ("rinsed-in-tank-water", "rinsed-under-tap", "filter-lost")
        )
        assert 0.0 < gentle < tap < lost


def test_colonies_of_a_mature_tank_carry_its_load_with_room() -> None:
    for colony in _found(SMALL, GRAVEL).guilds.values():
        # Some tanks of the prior never settle (tests of starts): their colonies do not carry it.
        assert colony.chance_enough > 0.8
        whole = colony.parts["all"]
        assert (whole.capacity.p50 or 0.0) > 2.0 * (whole.load.p50 or np.inf)


@pytest.mark.parametrize(("filter_", "bed"), [(SMALL, GRAVEL), (LARGE, NONE)])
def test_water_changes_take_no_bacteria_however_large(filter_: Filter, bed: Bed) -> None:
    books = _books(filter_, bed)
    _, _, _, went = member_books(books, (min(books.states), books.ready.scope.as_of_d))
    assert np.abs(went["colonies"]).max() < 1e-9
    assert went["drained"].min() > 0.0


def test_most_nitrogen_of_a_mature_tank_with_few_plants_leaves_with_the_water_changed() -> None:
    books = _books(SMALL, GRAVEL)
    _, came, _, went = member_books(books, (min(books.states), books.ready.scope.as_of_d))
    assert np.median(went["drained"] / sum(came.values())) > 0.4
