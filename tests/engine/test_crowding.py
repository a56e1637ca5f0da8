"""Too many animals for good: told where the grown tank cannot carry them, and by how many."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache

import pytest

from watervane.engine.crowding import crowding
from watervane.engine.futures import limits_of, stand
from watervane.records import (
    AllowedRisk,
    AnimalsIn,
    Feed,
    Finding,
    Habit,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)

MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)
AS_OF = datetime(2026, 3, 14, 18, tzinfo=UTC)
GRAMS_OF_FOOD = 0.018 * 0.6  # a day for one fish of 0.6 g


def _tank(fish: int, weekly: float = 0.0, tap_nitrate: float = 2.0) -> Tank:
    food = GRAMS_OF_FOOD * fish
    change = WaterChange(at=MORNING, fraction=weekly, temperature_c=25.0)
    changes = (Habit(template=change, every_days=7, start=date(2026, 3, 9)),) * bool(weekly)
    return Tank(
        name="a beginner's",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(
            ph=7.5, kh_dkh=6.0, gh_dgh=8.0, nitrate_mg_n_per_l=tap_nitrate, chlorine_mg_per_l=0.0
        ),
        events=(AnimalsIn(at=MORNING, species="zebra danio", count=fish, mass_g=0.6),),
        habits=(
            Habit(
                template=Feed(at=MORNING, mass_g=Span(0.8 * food, 1.25 * food)),
                every_days=1,
                start=MORNING.date(),
            ),
            *changes,
        ),
    )


@cache
def _told(
    fish: int, weekly: float = 0.0, tap_nitrate: float = 2.0, comfort: float = 0.2
) -> tuple[Finding, ...]:
    tank = _tank(fish, weekly, tap_nitrate)
    standing = stand(tank, as_of=AS_OF, members=120, seed=5, threads=1, now=AS_OF)
    return crowding(standing, limits_of(standing), AllowedRisk(comfort=comfort))


@pytest.mark.parametrize("fish", [1, 5])
def test_a_usual_stock_is_not_called_too_many(fish: int) -> None:
    assert _told(fish) == ()


def test_many_times_a_usual_stock_is_called_too_many_and_by_how_many() -> None:
    (found,) = _told(50)
    told = found.arguments
    assert found.severity == "caution"
    assert told["animals"] == 50
    assert told["subject"] == "nitrate"
    assert told["weekly_share"] == 0.25
    assert float(str(told["chance"])) > 0.5
    carried = int(str(told["carried"]))
    assert 0 < carried < 50
    assert told["too_many"] == 50 - carried
    assert float(str(told["food_share"])) == pytest.approx(1.0 - carried / 50, abs=0.021)


def test_as_many_as_are_said_to_be_carried_are_carried() -> None:
    """What is advised holds when it is done, but for the noise of members."""
    carried = int(str(_told(50)[0].arguments["carried"]))
    again = _told(carried)
    assert all(float(str(one.arguments["chance"])) < 0.3 for one in again)
    assert _told(round(0.7 * carried)) == ()


def test_whoever_plans_to_change_more_water_is_held_to_that() -> None:
    (a_quarter,) = _told(50)
    more = _told(50, weekly=0.7)
    chance = float(str(more[0].arguments["chance"])) if more else 0.0
    assert chance < float(str(a_quarter.arguments["chance"]))
    assert not more or more[0].arguments["weekly_share"] == pytest.approx(0.7)


def test_a_tap_full_of_nitrate_is_not_laid_at_the_animals_door() -> None:
    assert _told(3, tap_nitrate=14.0) == ()


def test_a_tank_without_animals_has_not_too_many() -> None:
    tank = replace(_tank(1), events=())
    standing = stand(tank, as_of=AS_OF, members=40, seed=5, threads=1, now=AS_OF)
    assert crowding(standing, limits_of(standing), AllowedRisk()) == ()
