"""The next test of a small tank: only what can be tested, when it can be, and honest gains."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from watervane.engine.composed import Made
from watervane.engine.foretell import foretell, made
from watervane.engine.next_test import USUAL, next_test
from watervane.records import (
    AnimalsIn,
    Feed,
    Habit,
    Kit,
    KitScale,
    NextTest,
    Reading,
    ReadingValue,
    Span,
    Tank,
)

START = datetime(2026, 3, 1, 18, tzinfo=ZoneInfo("UTC"))
STEPS = {
    "ammonia": (0.0, 0.3, 0.7, 1.5, 3.0),
    "nitrite": (0.0, 0.1, 0.3, 0.7, 1.5, 3.0),
    "phosphate": (0.0, 0.5, 1.0),
    "temperature": (20.0, 24.0, 28.0),
}
KIT = Kit("drop", "drop", tuple(KitScale(q, s, "n") for q, s in STEPS.items()))


def reading(day: int, mg_n_per_l: float, quantity: str = "ammonia") -> Reading:
    value = ReadingValue("exact", mg_n_per_l, mg_n_per_l, "n", f"{mg_n_per_l} mg/L as N")
    return Reading(START + timedelta(days=day), quantity, value, kit="drop")


TANK = Tank(
    name="small",
    filled=START.date(),
    volume_l=54.0,
    kits={"drop": KIT},
    events=(AnimalsIn(at=START + timedelta(days=1), species="Danio rerio", count=6),),
    habits=(
        Habit(
            template=Feed(at=START, mass_g=Span(0.02, 0.08)), every_days=1, start=date(2026, 3, 2)
        ),
    ),
    readings=(reading(5, 0.3), reading(8, 0.7)),
)
AT = START + timedelta(days=8)
OPTIONS = {"as_of": AT, "horizon_days": 40, "members": 200, "accuracy": "sampling"}


def run(tank: Tank = TANK, **more: object) -> Made:
    return made(tank, **(OPTIONS | more))


@pytest.fixture(scope="module")
def one() -> Made:
    return run()


@pytest.fixture(scope="module")
def told(one: Made) -> NextTest:
    found = next_test(one)
    assert found is not None
    return found


def test_only_what_the_tank_can_test_and_the_model_knows(told: NextTest) -> None:
    assert {(t.quantity, t.kit) for t in told.ranked} == {("ammonia", "drop"), ("nitrite", "drop")}


def test_evenings_ahead_and_nothing_read_twice_at_once(told: NextTest) -> None:
    for test in told.ranked:
        ahead = test.at - AT
        assert timedelta(0) <= ahead <= timedelta(days=10)
        assert test.at.hour == 18
        assert test.quantity != "ammonia" or ahead > timedelta(hours=6)  # it was just read


def test_gains_lie_between_nothing_and_all_that_is_open(told: NextTest) -> None:
    assert told.question == "settled"
    gains = [test.gain_bits for test in told.ranked]
    assert gains == sorted(gains, reverse=True)
    assert all(0.0 <= gain <= told.open_bits for gain in gains)
    assert told.chance_bits > 0.0


def test_the_best_tells_more_than_chance_and_narrows_the_date(told: NextTest) -> None:
    assert told.best is not None
    assert told.best.gain_bits > told.chance_bits
    assert told.range_now_days is not None
    assert told.range_after_days is not None
    assert told.range_after_days < told.range_now_days


def test_the_same_forecast_gives_the_same_test(one: Made, told: NextTest) -> None:
    assert next_test(one) == told
    again = foretell(TANK, **OPTIONS)
    assert again.next_test == told
    assert again.series == one.forecast.series  # looking for it changes nothing


def test_finer_steps_of_the_same_kit_teach_no_less(one: Made, told: NextTest) -> None:
    def steps(*nitrite: float) -> float:
        kit = replace(KIT, scales=(KitScale("nitrite", nitrite, "n"),))
        ready = replace(one.ready, known=replace(one.ready.known, kits={"drop": kit}))
        found = next_test(replace(one, ready=ready))
        assert found is not None
        gains = {t.quantity: t.gain_bits for t in found.ranked}
        return gains["nitrite"]

    fine = steps(0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1.1, 1.5, 2.2, 3.0)
    coarse = steps(0.0, 3.0)
    error = max(test.gain_error_bits for test in told.ranked)
    assert fine > coarse
    assert fine > steps(0.0, 0.1, 0.3, 0.7, 1.5, 3.0) - error


def test_a_tank_without_kits_is_offered_the_usual_tests() -> None:
    bare = run(replace(TANK, kits={}, readings=()), members=60)
    found = next_test(bare)
    assert found is not None
    assert {test.quantity for test in found.ranked} == set(USUAL)
    assert {test.kit for test in found.ranked} == {None}


def test_danger_is_asked_of_one_level_with_tests_that_come_in_time(one: Made) -> None:
    found = next_test(one, "danger")
    assert found is not None
    assert found.limit in one.forecast.risk
    assert all(test.at <= AT + timedelta(days=1) for test in found.ranked)
    assert 0.0 < found.open_bits <= 1.0
    if found.best is not None:
        assert found.wrong_now is not None
        assert found.wrong_after is not None
        assert found.wrong_after <= found.wrong_now <= 0.5


def test_where_settled_is_no_question_danger_is_asked_unless_told() -> None:
    idle = run(replace(TANK, events=(), habits=(), readings=()), members=60)
    assert idle.forecast.settled.status == "no food planned"
    asked = next_test(idle, "settled")
    assert asked is not None
    assert (asked.open_bits, asked.best) == (0.0, None)
    instead = next_test(idle)
    assert instead is not None
    assert instead.question == "danger"


def test_members_nobody_should_lean_on_advise_nothing(one: Made) -> None:
    poor = replace(one, fitted=replace(one.fitted, effective=5.0))
    assert next_test(poor) is None


def test_an_unknown_question_is_refused(one: Made) -> None:
    with pytest.raises(ValueError, match="danger"):
        next_test(one, "weather")
