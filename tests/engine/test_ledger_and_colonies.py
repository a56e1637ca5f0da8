"""Ledger and colonies as the engine hands them out."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from watervane.engine.booked import Books, books_of, books_of_made
from watervane.engine.colonies import colonies, colonies_of, guild_days
from watervane.engine.composed import Start
from watervane.engine.foretell import made
from watervane.engine.ledger import ledger, ledger_of
from watervane.engine.update import Update
from watervane.process.run import simulate
from watervane.records import (
    AnimalsIn,
    Dose,
    Feed,
    Habit,
    Outage,
    Reading,
    ReadingValue,
    Span,
    Tank,
)
from watervane.records.colonies import HABITATS
from watervane.records.ledger import CAME, HELD, WENT

NOW = datetime(2026, 3, 22, 12, tzinfo=UTC)
BEGAN = datetime(2026, 3, 2, 8, tzinfo=UTC)
TANK = Tank(
    name="three weeks",
    filled=date(2026, 3, 1),
    volume_l=54.0,
    events=(AnimalsIn(at=BEGAN, species="Danio rerio", count=6, length_cm=3.0),),
    habits=(
        Habit(
            template=Feed(at=BEGAN, mass_g=Span.exact(0.1)), every_days=1.0, start=date(2026, 3, 2)
        ),
    ),
    readings=tuple(
        Reading(
            at=BEGAN + timedelta(days=day),
            quantity=quantity,
            value=ReadingValue("range", low, high, "n"),
        )
        for day, quantity, low, high in (
            (8, "ammonia", 0.3, 1.5),
            (12, "ammonia", 0.3, 1.5),
            (16, "nitrite", 0.05, 1.0),
        )
    ),
)


def _books(tank: Tank, **more: object) -> Books:
    told = {"members": 32, "threads": 1, "horizon_days": 10, "now": NOW, "as_of": NOW} | more
    return books_of(tank, **told)


@cache
def _usual() -> Books:
    return _books(replace(TANK, readings=()))


def test_a_tank_older_than_a_week_has_three_stretches() -> None:
    told = ledger_of(_usual())
    assert [one.key for one in told.stretches] == ["since-filling", "last-week", "next-week"]
    whole, last, following = told.stretches
    assert whole.begins.date() == TANK.filled
    assert whole.ends == last.ends == following.begins == NOW == told.as_of
    assert last.ends - last.begins == following.ends - following.begins == timedelta(days=7)
    assert last.held == whole.held == following.began
    for one in told.stretches:
        assert (tuple(one.came), tuple(one.held), tuple(one.went)) == (CAME, HELD, WENT)


def test_a_young_tank_has_no_week_behind_it() -> None:
    soon = BEGAN + timedelta(days=2)
    told = ledger_of(_books(replace(TANK, readings=()), as_of=soon, now=soon))
    assert [one.key for one in told.stretches] == ["since-filling", "next-week"]


def test_the_moment_of_filling_has_the_week_ahead_only() -> None:
    filled = datetime(2026, 3, 1, tzinfo=UTC)
    books = _books(replace(TANK, readings=()), as_of=filled, now=filled)
    told = ledger_of(books)
    assert [one.key for one in told.stretches] == ["next-week"]
    assert told.stretches[0].most_unaccounted < 1e-9
    assert colonies_of(books).times[0] == filled


def test_half_and_all_of_a_colony_s_capacity_lie_in_order() -> None:
    told = colonies_of(_usual())
    assert len(told.times) == 11
    assert told.times[0] == NOW
    for colony in told.guilds.values():
        for part in (*HABITATS, "all"):
            capacity, held = colony.capacity[part], colony.held[part]
            assert len(capacity.p50) == len(told.times)
            assert all(h <= c for h, c in zip(held.p50, capacity.p50, strict=True))
            assert all(a <= b for a, b in zip(capacity.p05, capacity.p95, strict=True))
        assert 0.0 <= (colony.awake.p05 or 0.0) <= (colony.awake.p95 or 0.0) <= 1.0


def test_loads_by_habitat_add_up_and_shares_make_one() -> None:
    for days in guild_days(_usual()).values():
        assert days.share.sum(axis=0) == pytest.approx(1.0)
        assert (days.load >= 0.0).all()
    ammonia = guild_days(_usual())["ammonia"].load.sum(axis=1)
    food_mg_n = 1000.0 * 0.1 * 0.42 * 0.16  # what is offered is about what is fed, not more
    assert 0.3 * food_mg_n < np.median(ammonia[-1]) < 1.5 * food_mg_n


def test_a_dose_is_part_of_the_load_of_its_day() -> None:
    dose = Dose(
        at=NOW + timedelta(days=3, hours=1), substance="ammonium chloride", added_mg_n_per_l=2.0
    )
    tank = replace(TANK, readings=())
    dosed = guild_days(_books(replace(tank, events=(*tank.events, dose))))["ammonia"].load
    plain = guild_days(_usual())["ammonia"].load
    more = np.median((dosed - plain).sum(axis=1), axis=1)
    assert more[4] == pytest.approx(2.0 * 54.0, rel=0.2)
    assert abs(more[3]) < 1e-6


def test_a_filter_that_stands_still_turns_nothing_over_but_is_still_lived_in() -> None:
    off = Outage(at=NOW - timedelta(hours=30), what="filter", hours=31.0)
    tank = replace(TANK, readings=())
    told = colonies_of(_books(replace(tank, events=(*tank.events, off))))
    still = told.guilds["ammonia"].parts["filter"]
    assert still.capacity.p95 == 0.0
    assert (still.living_share.p50 or 0.0) > 0.05
    assert told.guilds["ammonia"].capacity["filter"].p50[-1] > 0.0


@pytest.mark.slow
def test_members_of_a_forecast_are_booked_from_where_they_were_run() -> None:
    one = Update(TANK, as_of=NOW, now=NOW, members=40, horizon_days=10, threads=1)
    carried = one.replacement().made
    assert carried.start is not None
    books = books_of_made(carried)
    course = carried.course
    stop = int(np.searchsorted(course.stops_d, books.ready.scope.as_of_d - 1e-9))
    told = ledger_of(books).stretch("since-filling")
    assert told is not None
    at_stop = course.output("nitrite_mg_n_per_l")[stop] * course.output("volume_ratio")[stop]
    spread = told.held["nitrite"].spread_mg_n
    assert spread.p50 == pytest.approx(54.0 * np.median(at_stop), rel=0.15)


@pytest.mark.slow
def test_books_begin_where_the_log_before_is_stood_for() -> None:
    books = _usual()
    line, start = books.ready.line, books.start
    week = simulate(line, start.members, start.state, (0, 7), threads=1).final
    told = made(
        replace(TANK, readings=()), as_of=NOW, now=NOW, members=32, horizon_days=10, threads=1
    )
    late = ledger_of(books_of_made(replace(told, start=Start(start.members, 7, week))))
    assert [one.key for one in late.stretches] == ["since", "last-week", "next-week"]
    assert late.stretches[0].begins.date() == date(2026, 3, 8)
    assert late.stretches[0].began["nitrate"].mean_mg_n > 0.0  # what the water held by then
    whole = ledger_of(books)
    for mine, theirs in zip(late.stretches[1:], whole.stretches[1:], strict=True):
        for part in ("came", "went", "held"):
            for line_name, amount in getattr(mine, part).items():
                expected = getattr(theirs, part)[line_name].mean_mg_n
                assert amount.mean_mg_n == pytest.approx(expected, rel=1e-6, abs=1e-9)


@pytest.mark.slow
def test_a_forecast_s_fit_and_the_command_s_own_agree() -> None:
    one = made(TANK, as_of=NOW, now=NOW, members=40, horizon_days=7, threads=1)
    by_forecast = ledger_of(books_of_made(one))
    alone = ledger(TANK, as_of=NOW, now=NOW, members=40, threads=1)
    assert by_forecast.stretches == alone.stretches


@pytest.mark.slow
def test_the_same_seed_tells_the_same() -> None:
    told = [colonies(TANK, as_of=NOW, now=NOW, members=24, horizon_days=3, threads=1) for _ in "ab"]
    assert told[0].guilds == told[1].guilds
