"""Colonies moved over members: what is lost is lost in the run, and worse ways end worse."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.engine.resettle import resettle, ways_of
from watervane.planning.carrying_media import CannotResettle
from watervane.records import AnimalsIn, Feed, Habit, Seed, SourceWater, Span, Tank, WaterChange
from watervane.records.resettling import ColonyMove, ResettledWay, Resettling

START = datetime(2026, 3, 1, 18, tzinfo=UTC)
AS_OF = START + timedelta(days=45)


def _tank() -> Tank:
    meal = Feed(at=START.replace(hour=8), mass_g=Span(0.15, 0.15))
    return Tank(
        name="moved",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=5.0, gh_dgh=8.0, chlorine_mg_per_l=0.5),
        events=(
            Seed(at=START, source="media", volume_l=0.3),
            AnimalsIn(at=START, species="Danio rerio", count=10, length_cm=3.0),
        ),
        habits=(
            Habit(template=meal, every_days=1, start=date(2026, 3, 2)),
            Habit(
                template=WaterChange(at=START, fraction=0.25), every_days=7, start=date(2026, 3, 8)
            ),
        ),
    )


def _moved(move: ColonyMove) -> Resettling:
    return resettle(_tank(), move, as_of=AS_OF, horizon_days=8, members=48, threads=1, now=AS_OF)


def _left(way: ResettledWay) -> float:
    middle = way.rehearsal.colonies["ammonia"].p50
    assert middle is not None
    return middle


def _ammonia(way: ResettledWay) -> float:
    told = next(e for e in way.rehearsal.extremes if e.series == "ammonia_mg_n_per_l")
    assert told.changed.p50 is not None
    return told.changed.p50


@pytest.fixture(scope="module")
def house() -> dict[str, ResettledWay]:
    found = _moved(ColonyMove("house", carried="damp", hours=24.0))
    return {way.name: way for way in found.ways}


def test_the_worse_they_are_carried_the_less_is_left(house: dict[str, ResettledWay]) -> None:
    assert set(house) == {"asked", "aired", "covered", "dry", "half-food"}
    left = [_left(house[name]) for name in ("aired", "covered", "asked", "dry")]
    assert left == sorted(left, reverse=True)
    assert left[0] > left[-1] + 0.2


def test_what_is_lost_is_felt_in_the_water(house: dict[str, ResettledWay]) -> None:
    assert _ammonia(house["dry"]) > _ammonia(house["aired"])
    assert _ammonia(house["half-food"]) < _ammonia(house["asked"])


def test_another_filter_with_no_old_media_keeps_only_what_lives_elsewhere() -> None:
    found = _moved(ColonyMove("filter", share=0.0))
    assert found.asked.kept["filter"].high == 0.0
    half = next(way for way in found.ways if way.name == "half-now")
    assert _left(found.asked) < _left(half) < 1.0
    assert found.asked.kept["bed"].low == 1.0


def test_what_is_refused() -> None:
    with pytest.raises(CannotResettle) as raised:
        _moved(ColonyMove("larger-tank", volume_l=50.0))
    assert raised.value.problems[0].key == "resettle-not-larger"
    with pytest.raises(CannotResettle):
        _moved(ColonyMove("house", hours=-3.0))


def test_ways_differ_from_what_was_asked_and_from_one_another() -> None:
    for kind in ("house", "filter", "lend"):
        ways = ways_of(ColonyMove(kind, share=0.5))
        assert next(iter(ways)) == "asked"
        named = {name: one for name, one in ways.items() if name != "half-food"}
        assert len({replace(one) for one in named.values()}) == len(named)
