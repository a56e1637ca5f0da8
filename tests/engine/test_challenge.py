"""The challenge test: the dose, what is foretold of the reading, and what the reading teaches."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache

import pytest

from watervane.engine.challenge import CannotChallenge, challenge, dose_mass_g
from watervane.records import (
    AnimalsIn,
    Answer,
    Challenge,
    Dose,
    Kit,
    KitScale,
    NumberQuantiles,
    Reading,
    Seed,
    Tank,
)

FILLED_AT = datetime(2026, 3, 1, 12, tzinfo=UTC)
AS_OF = datetime(2026, 3, 9, 20, tzinfo=UTC)


@cache
def _tank() -> Tank:
    """An invented tank seeded a week ago; nobody has tested it yet."""
    steps = {
        "ammonia": (0.0, 0.2, 0.4, 0.8, 1.6, 3.2),
        "nitrite": (0.0, 0.1, 0.3, 0.7, 1.5, 3.0),
    }
    return Tank(
        name="empty shelf",
        filled=date(2026, 3, 1),
        volume_l=40.0,
        heater_set_point_c=26.0,
        normal_food_g_per_d=None,
        kits={"drops": Kit("drops", "drop", tuple(KitScale(q, s, "n") for q, s in steps.items()))},
        events=(
            Seed(at=FILLED_AT, source="media", volume_l=0.2),
            Dose(at=FILLED_AT, substance="ammonium chloride", added_mg_n_per_l=1.0),
        ),
    )


@cache
def _asked(dose: float | None = None) -> Challenge:
    return challenge(_tank(), dose_mg_n_per_l=dose, as_of=AS_OF, now=AS_OF, members=300, threads=1)


def test_two_milligrams_in_a_hundred_litres_take_764_milligrams_of_ammonium_chloride() -> None:
    """53.4915 g/mol over 14.0067 g N/mol, by hand: 0.2 g N is 0.7638 g."""
    mass = dose_mass_g("ammonium chloride", 2.0, 100.0)
    assert mass.low == pytest.approx(0.7638, rel=1e-3)
    assert dose_mass_g("ammonia solution", 2.0, 100.0).low == pytest.approx(
        0.2 * 17.0305 / 14.0067 / 0.1, rel=1e-3
    )


def test_what_brings_no_ammonia_is_refused() -> None:
    with pytest.raises(CannotChallenge) as told:
        dose_mass_g("sodium bicarbonate", 2.0, 100.0)
    assert told.value.reason == "no-ammonia"


@pytest.mark.parametrize(("day", "reason"), [(5, "animals"), (11, "animals-coming"), (20, None)])
def test_animals_in_or_soon_to_come_are_not_dosed(day: int, reason: str | None) -> None:
    fish = AnimalsIn(at=FILLED_AT.replace(day=day), species="Danio rerio", count=3)
    tank = replace(_tank(), events=(*_tank().events, fish))
    if reason is None:
        challenge(tank, dose_mg_n_per_l=1.0, as_of=AS_OF, now=AS_OF, members=20, threads=1)
        return
    with pytest.raises(CannotChallenge) as told:
        challenge(tank, as_of=AS_OF, now=AS_OF, members=20, threads=1)
    assert told.value.reason == reason


@pytest.mark.parametrize("dose", [0.0, 9.0, float("nan")])
def test_a_dose_out_of_reason_is_refused(dose: float) -> None:
    with pytest.raises(CannotChallenge):
        challenge(_tank(), dose_mg_n_per_l=dose, as_of=AS_OF, now=AS_OF, members=20)


def test_chances_of_all_a_kit_can_show_make_one() -> None:
    for reading in _asked().readings:
        assert sum(a.chance for a in reading.answers) == pytest.approx(1.0, abs=1e-6)
        assert [a.value.low for a in reading.answers] == sorted(
            a.value.low for a in reading.answers
        )


def test_a_lower_reading_says_that_the_colony_carries_more() -> None:
    ammonia = _asked(1.0).readings[0]
    likely = [a for a in ammonia.answers if a.chance > 0.05]
    carried = [a.carries_g_per_d.p50 for a in likely]
    assert len(likely) >= 3
    assert carried == sorted(carried, reverse=True)


def test_a_larger_dose_is_less_likely_gone_in_a_day() -> None:
    assert _asked(0.5).gone_chance > _asked(4.0).gone_chance


def test_the_chosen_dose_tells_at_least_as_much_as_another() -> None:
    def told(one: Challenge) -> float:
        return sum(reading.narrowing for reading in one.readings)

    assert _asked().chosen
    assert told(_asked()) <= told(_asked(4.0)) + 1e-9


@pytest.mark.slow
def test_the_reading_once_in_the_log_narrows_what_is_known_of_the_colonies() -> None:
    """Over the likeliest steps both kits may show, about as much as was foretold."""
    asked = _asked(1.0)
    before = [_width(reading.carries_g_per_d) for reading in asked.readings]
    shares, weights = [], []
    for place in range(3):
        answers = [sorted(r.answers, key=lambda a: -a.chance)[place] for r in asked.readings]
        after = _read(asked, answers)
        widths = [_width(reading.carries_g_per_d) for reading in after.readings]
        shares.append(sum(a / b for a, b in zip(widths, before, strict=True)) / 2)
        weights.append(answers[0].chance * answers[1].chance)
    mean = sum(w * s for w, s in zip(weights, shares, strict=True)) / sum(weights)
    foretold = sum(reading.narrowing for reading in asked.readings) / 2
    assert mean < 0.9
    assert abs(mean - foretold) < 0.2


def _read(asked: Challenge, answers: list[Answer]) -> Challenge:
    dose = Dose(at=asked.dose_at, substance=asked.substance, added_mg_n_per_l=asked.dose_mg_n_per_l)
    readings = tuple(
        Reading(asked.read_at, reading.quantity, answer.value, kit="drops")
        for reading, answer in zip(asked.readings, answers, strict=True)
    )
    tank = replace(_tank(), events=(*_tank().events, dose), readings=readings)
    at = asked.read_at
    return challenge(tank, dose_mg_n_per_l=1.0, as_of=at, now=at, members=300, threads=1)


def _width(told: NumberQuantiles) -> float:
    assert told.p05 is not None
    assert told.p95 is not None
    return math.log(told.p95 / told.p05)
