"""Sentences told in gallons, Fahrenheit and CaCO3, whoever made them."""

from __future__ import annotations

import re

import pytest

from watervane.wording import phrase
from watervane.wording.in_units import (
    CHOICES,
    USUAL,
    Units,
    asked_unit,
    current_units,
    reader_units,
    told_in_units,
    units_of,
)
from watervane.wording.templates import templates

US = Units("us", "fahrenheit", "caco3")


@pytest.mark.parametrize(
    ("usual", "told"),
    [
        ("Set the heater to 25 °C.", "Set the heater to 77 °F."),
        ("at 24 to 26.5 °C: in a box", "at 75 to 79.7 °F: in a box"),
        ("Move it by no more than 1 °C an hour.", "Move it by no more than 2 °F an hour."),
        ("the room is 8 °C warmer", "the room is 14 °F warmer"),
        ("within 2.0 °C of each other", "within 3.6 °F of each other"),
        (
            "to the tank's 25 °C. From a tap of 12 °C it would cool the tank by 3.2 °C.",
            "to the tank's 77 °F. From a tap of 12 °C it would cool the tank by 3.2 °C.".replace(
                "12 °C", "54 °F"
            ).replace("3.2 °C", "5.8 °F"),
        ),
        ("23 °C and 24 °C", "73 °F and 75 °F"),
        ("\N{MINUS SIGN}5 °C", "23 °F"),
        ("Change 25 % of the water (15 L).", "Change 25 % of the water (4 US gal)."),
        ("About 1,200 L in all", "About 317 US gal in all"),
        ("60 L an hour", "16 US gal an hour"),
        ("0.3 L of sponge", "0.079 US gal of sponge"),
        ("0.8 mg/L as N", "0.8 mg/L as N"),
        ("0.15 g a litre", "0.15 g a litre"),
        ("before it reaches 1 dKH", "before it reaches 18 mg/L as CaCO3"),
        ("4 to 8 dGH", "71 to 143 mg/L as CaCO3"),
    ],
)
def test_told_in_customary_units(usual: str, told: str) -> None:
    assert told_in_units(usual, US) == told
    assert told_in_units(told, US) == told, "told twice it stays"
    assert told_in_units(usual, USUAL) == usual


def test_each_kind_is_chosen_by_itself() -> None:
    text = "57 L at 25 °C and 4 dKH"
    assert told_in_units(text, Units(volume="imperial")) == "13 imp gal at 25 °C and 4 dKH"
    assert told_in_units(text, Units(hardness="meq")) == "57 L at 25 °C and 1.4 meq/L"


def test_the_catalogue_follows_the_reader_and_nobody_else() -> None:
    with reader_units(US):
        assert phrase("act-warm", amount="25") == "Set the heater to 77 °F."
        assert asked_unit("temperature", "degC") == "degF"
        assert asked_unit("nitrate", "mg/L") == "mg/L"
    assert phrase("act-warm", amount="25") == "Set the heater to 25 °C."
    assert current_units() == USUAL


def test_every_difference_of_warmth_in_the_catalogue_is_told_as_one() -> None:
    """Numbers of 10 stand for all: as a difference 18, as a warmth 50."""
    apart = {
        "bring-no-float", "hour-slowly-rate", "mishap-heat-wave", "mishap-heat-wave-one",
        "bring-gap-temperature-means", "warmth-rate",
    }  # fmt: skip
    both = {"note-warmth", "order-warmth", "order-warmth-untold", "order-warmth-up"}
    found = 0
    for key, sentence in templates().items():
        said = re.sub(r"\{\w+\}(?= °C)|8(?= °C)", "10", sentence)
        told = told_in_units(said, Units(warmth="fahrenheit"))
        differences, warmths = told.count("18 °F"), told.count("50 °F")
        if not differences + warmths:
            continue
        found += 1
        assert bool(differences) == (key in apart | both), (key, told)
        assert bool(warmths) == (key not in apart), (key, told)
    assert found > 10


def test_a_cookie_nobody_wrote_is_read_as_usual() -> None:
    assert units_of("") == units_of("..; drop.") == units_of("x.y.z.w") == USUAL
    for name, known in CHOICES.items():
        for each in known:
            chosen = Units(**{name: each})
            assert units_of(chosen.text()) == chosen
