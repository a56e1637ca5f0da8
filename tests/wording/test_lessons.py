"""What the readings taught, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sample_forecasts import sample_forecast

from watervane.inference.priors import UNKNOWNS
from watervane.records import Learned, Moved, StillOpen, Taught
from watervane.wording.lessons import lesson_sentences, unknown_words
from watervane.wording.templates import templates


@pytest.mark.parametrize("name", UNKNOWNS)
def test_every_unknown_of_the_model_has_its_words(name: str) -> None:
    assert f"unknown-{name.replace('_', '-')}" in templates()
    assert "_" not in unknown_words(name)


def _told(taught: Taught | None) -> str:
    return " ".join(lesson_sentences(replace(sample_forecast(day=11.0), taught=taught)))


def test_the_most_learned_come_first_with_their_direction() -> None:
    learned = (
        Learned("food_multiplier", 0.5, 1.1),
        Learned("nitrite_oxidiser_growth_per_d", 0.4, -0.9),
        Learned("bias drops ammonia", 0.2, 2.0),
        Learned("food_decay_per_d", 0.1, 0.0),
    )
    text = _told(Taught(learned, (StillOpen("set_point_deviation_c", 0.3),)))
    assert "the food brings (more than usual, range cut by 29 %), how fast" in text
    assert "grow (less than usual, range cut by 23 %)" in text
    assert "how far the ammonia test reads off" in text
    assert "rots" not in text, "three are enough"
    assert "the day the tank is settled: how true the heater's thermostat is" in text


@pytest.mark.parametrize(
    ("days", "narrowed", "words"),
    [
        (3.2, None, "come 3 days earlier"),
        (-0.9, None, "come 1 day later"),
        (0.2, 4.4, "spread over 4 days more"),
        (None, None, "told most about the day the tank is settled."),
    ],
)
def test_the_reading_that_counted_most(
    days: float | None, narrowed: float | None, words: str
) -> None:
    at = sample_forecast(day=11.0).as_of - timedelta(days=2)
    assert words in _told(Taught((), (), Moved(at, "nitrite", days, narrowed)))


def test_a_reading_that_weights_cannot_take_out_is_said_to_be_one() -> None:
    at = sample_forecast(day=11.0).as_of - timedelta(days=2)
    told = Taught((), (), Moved(at, "ph", None, None, told=False), "nitrite_peak")
    assert "The pH reading of" in _told(told)
    assert "for the day of the nitrite peak that only a new start" in _told(told)


@pytest.mark.parametrize("name", ["food 12", "luck 3", "ammonia drift 0", "nitrite drift 1"])
def test_what_differs_from_day_to_day_is_no_kit(name: str) -> None:
    assert unknown_words(name) == "what differs from day to day"


def test_readings_that_tell_only_together_are_said_to() -> None:
    told = Taught((), (), about="ammonia_peak", each_within_days=2.3)
    assert "No single reading moved the day of the ammonia peak by more than 3 days" in _told(told)
    for unclear in (
        replace(told, about=""),
        replace(told, each_within_days=None),
        replace(told, each_within_days=9.0),
    ):
        assert "single" not in _told(unclear)


def test_without_readings_nothing_is_said_and_with_vain_ones_that_is_said() -> None:
    assert _told(None) == ""
    assert "nothing yet" in _told(Taught((), ()))
