"""``watervane dose``: words and labels in, a sheet out; units that cannot be read are refused."""

from __future__ import annotations

import json

import pytest
from fake_ports import FakePorts
from hypothesis import given, settings
from hypothesis import strategies as st
from test_commands import call

from watervane.app import BadInput
from watervane.bootstrap_care import care_ports

BASE = ("dose", "treatment", "--label", "5 mL per 50 L", "--volume", "54 L")


def test_sentences_come_first_then_the_course_then_what_to_know() -> None:
    more = ("--times", "3", "--every", "2 d", "--change", "25 %", "--changed", "30 %")
    result = call(FakePorts(), *BASE, *more, "--animals", "10 Neocaridina davidi")
    assert result.code == 0, result.err
    places = [
        result.out.index(text)
        for text in ("Treatment for 54", "Give 5.4 mL in all", "give 1.62 mL, no more",
                     "Dose by dose", "To know", "Neocaridina davidi", "veterinarian")
    ]  # fmt: skip
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("label", "amount", "unit"),
    [
        ("5 mL per 50 L", 5.0, "mL"),
        ("5ml/50L", 5.0, "mL"),
        ("1 US fl oz per 25 US gal", 15.625, "mL"),
        ("10 mL to 100 US gal", 1.32086, "mL"),
        ("2 drops for 10 litres", 10.0, "drops"),
        ("0.5 g per 50 L", 0.5, "g"),
        ("10 mg/L", 0.5, "g"),
    ],
)
def test_labels_are_read_in_any_unit(label: str, amount: float, unit: str) -> None:
    told = ("dose", "treatment", "--label", label, "--volume", "50 L", "--json")
    result = call(FakePorts(), *told)
    document = json.loads(result.out)
    assert document["amount"] == pytest.approx(amount, rel=1e-4)
    assert document["unit"] == unit


def test_a_tank_gives_its_net_water_and_animals() -> None:
    told = ("dose", "treatment", "--label", "5 mL per 50 L", "--tank", "any.tank.toml", "--json")
    document = json.loads(call(FakePorts(), *told).out)
    assert document["format"] == "watervane-dose/1"
    assert document["amount"] == pytest.approx(0.1 * document["volume_l"])


@pytest.mark.parametrize(
    ("told", "text"),
    [
        (("bleach",), "Never:"),
        (("salt",), "What does the label say?"),
        (("salt", "--label", "2 spoons per 50 L", "--volume", "50 L"), "counts spoons"),
        (("salt", "--label", "plenty", "--volume", "50 L"), "how much for how much water"),
        (("salt", "--label", "1 g per 0 L", "--volume", "50 L"), "no water at all"),
        (("salt", "--label", "1 g/L", "--volume", "10 gal"), "more than one meaning"),
        (("salt", "--label", "1 g/L", "--volume", "0 L"), "no water to dose"),
        (("salt", "--label", "50 g/L", "--volume", "50 L"), "times the most that is usual"),
        (("salt", "--label", "5 mL/L", "--volume", "50 L"), "weigh it"),
        ((*BASE[1:], "--changed", "1/3"), "per cent"),
        ((*BASE[1:], "--changed", "150 %"), "per cent"),
        ((*BASE[1:], "--times", "0"), "1 to 100"),
        ((*BASE[1:], "--half-life", "0 h"), "no half-life"),
        ((*BASE[1:], "--every", "0 d"), "no time between doses"),
        ((*BASE[1:], "--ph", "acid"), "ph:"),
    ],
)
def test_what_cannot_be_read_or_is_refused_says_why(told: tuple[str, ...], text: str) -> None:
    result = call(FakePorts(), "dose", *told)
    assert result.code == 2
    assert text in result.err
    assert "Traceback" not in result.err


@given(
    words=st.dictionaries(
        st.sampled_from(("label", "volume", "bath", "most", "times", "every", "change", "ph",
                         "kh", "ammonia", "temperature", "half-life", "substance")),
        st.one_of(st.text(max_size=30), st.sampled_from(("salt", "1 g/L", "5 L", "25 %", "7"))),
    )
)  # fmt: skip
@settings(max_examples=300, deadline=None)
def test_no_words_break_it(words: dict[str, str]) -> None:
    try:
        care_ports().dose(words, None)
    except BadInput as error:
        assert error.problems
