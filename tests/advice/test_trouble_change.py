"""A change of water in trouble: as much as readings ask for, as far as no open cause is harmed."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from watervane.advice.first_aid import SOON_MIN
from watervane.advice.trouble import meanwhile, weigh
from watervane.advice.trouble_alarms import with_alarms
from watervane.advice.trouble_change import DOSED, FIFTH, STIRRED, TENTH, WARMED, change_causes
from watervane.exchange.trouble_words import tank_of_words
from watervane.records import Reading, ReadingValue, SourceWater, Tank
from watervane.records.trouble import Trouble, TroubleAnswers
from watervane.reference.first_aid import aid_tables
from watervane.wording.trouble import hour_steps

AT = datetime(2026, 3, 9, 21, tzinfo=UTC)
AIDS = aid_tables()


def read(quantity: str, value: float) -> Reading:
    basis = "n" if quantity in ("ammonia", "nitrite", "nitrate") else "none"
    return Reading(AT, quantity, ReadingValue("exact", value, value, basis))


def bowl(source: SourceWater | None = None) -> Tank:
    tank = tank_of_words({"animals": ("6 Danio rerio",), "days-old": "40"}, AT)
    return tank if source is None else replace(tank, source_water=source)


def told(
    readings: dict[str, float],
    tank: Tank | None = None,
    *,
    measured: bool = True,
    done: tuple[str, ...] = ("none",),
) -> Trouble:
    taken = tuple(read(quantity, value) for quantity, value in readings.items())
    see = ("lying", "not-eating")
    weighed = weigh(TroubleAnswers(see=see, readings=taken, age_days=40.0, done=done))
    found = Trouble(weighed.answers, (), (), meanwhile(weighed), 0.0, 0.0)
    return with_alarms(found, tank or bowl(), AT, measured=measured)


def harmed_by(found: Trouble, tank: Tank) -> list[str]:
    """Causes that the change may harm, read off the table alone."""
    change = found.spoken_change
    assert change is not None
    starts = {act.key: act.start_min for act in found.hour.acts}
    small = TENTH if change.share <= 0.1 else FIFTH
    keys = [small, "big-change"] if change.share > 0.2 else [small]
    harmed = []
    for cause in change_causes(found, tank):
        for key in keys:
            effect = AIDS.effects[key, cause]
            remedy = effect.unless or DOSED.get(cause, "")
            in_time = starts.get(remedy, 99.0) < change.start_min
            by_care = (cause == STIRRED and change.stirred) or cause == WARMED
            if effect.effect == "harms" and not in_time and not by_care:
                harmed.append(cause)
    return harmed


def test_nitrite_that_harms_gets_a_change_with_its_share_and_its_way() -> None:
    found = told({"nitrite": 14.0, "ph": 7.6})
    change = found.spoken_change
    assert change is not None
    assert change.asked_share >= change.share >= 0.1
    assert harmed_by(found, bowl()) == []
    assert found.hour.no_change == ()
    *_, step, watch = hour_steps(found)
    assert f"{100 * change.share:.0f} % of the water" in step
    assert "conditioner in the new water first" in step
    assert "watch" in watch
    assert ("in all" in step) == (change.asked_share > change.share)
    assert "L)" not in hour_steps(told({"nitrite": 14.0, "ph": 7.6}, measured=False))[-2]


def test_tap_water_of_these_days_may_be_to_blame_so_none_goes_in_and_it_says_so() -> None:
    found = told({"nitrite": 14.0, "ph": 7.6}, done=("water-raw",))
    assert found.spoken_change is None
    assert found.hour.no_change
    assert told({"nitrite": 14.0}, done=()).spoken_change is None  # nobody knows what was done
    assert told({"nitrite": 0.0, "ph": 7.4}).spoken_change is None


def test_where_ammonia_sleeps_in_acid_water_no_more_than_a_tenth_after_it_is_bound() -> None:
    found = told({"ammonia": 4.0, "ph": 6.2, "kh": 1.0})
    change = found.spoken_change
    assert change is not None
    assert change.share == pytest.approx(0.1)
    starts = {act.key: act.start_min for act in found.hour.acts}
    assert starts["bind"] < change.start_min


def test_a_tap_that_holds_as_much_or_lifts_ph_over_ammonia_counts() -> None:
    bad = SourceWater(nitrite_mg_n_per_l=9.0)
    assert told({"nitrite": 14.0, "ph": 7.6}, bowl(bad)).spoken_change is None
    hard = told({"ammonia": 3.0, "ph": 7.2}, bowl(SourceWater(ph=8.4))).spoken_change
    assert hard is not None
    assert hard.share == pytest.approx(0.1)


def test_a_change_harms_under_no_cause_still_possible_whatever_is_told() -> None:
    rng, given = random.Random(3), 0  # noqa: S311 - which cases are tried
    for _ in range(12):
        levels = {"ammonia": (0.0, 1.0, 4.0), "nitrite": (0.0, 4.0, 15.0), "ph": (6.2, 7.2, 8.2)}
        readings = {quantity: rng.choice(several) for quantity, several in levels.items()}
        done = rng.choice([("none",), ("heat",), ("newcomers",), ("water-change",), ()])
        found = told(readings, done=done)
        if found.spoken_change is None:
            continue
        given += 1
        assert harmed_by(found, bowl()) == [], (readings, done)
        starts = {act.key: act.start_min for act in found.hour.acts}
        for act in found.hour.acts:
            for cause in found.hour.causes:
                effect = AIDS.effects[act.key, cause.key]
                if cause.open and effect.effect == "harms":
                    late = act.start_min + (SOON_MIN if effect.when == "with" else 0.0)
                    assert starts.get(effect.unless, 99.0) <= late
    assert given >= 2
