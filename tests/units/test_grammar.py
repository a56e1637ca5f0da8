"""The closed grammar: what it reads, what it refuses, and that nothing upsets it."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane import units
from watervane.units import Span, UnitError
from watervane.units.grammar import MAX_LENGTH, parse_quantity

USUAL_TIMES = 1000.0  # what backtracks without end takes far longer
AMOUNTS = {"pinch": Span(0.02, 0.08), "wafer": Span(0.2, 0.6)}
QUANTITIES = sorted({*units.QUANTITY_UNITS, "chloramine", "calcium"})
PLAIN: list[Callable[[object], float]] = [
    units.parse_length_cm,
    units.parse_volume_l,
    units.parse_temperature_c,
    units.parse_flow_l_per_h,
    units.parse_power_w,
    units.parse_mass_g,
    units.parse_duration_h,
    units.parse_days,
    units.parse_altitude_m,
    units.parse_hardness_dkh,
    units.parse_hardness_dgh,
]
PARSERS: list[Callable[[object], Any]] = [
    *PLAIN,
    lambda text: units.parse_food(text, AMOUNTS),
    *(lambda text, q=q: units.parse_reading(text, q) for q in QUANTITIES),
]
FRAGMENTS = st.sampled_from(
    [
        *("1", "0.5", "9**9", ",", ".", "..", "-", "+", "/", "e9", "1e99", "~", ">", "<=", "≥"),
        *(" ", "mg/L", " as N", "NH4", "ppm", "dKH", "°", "C", "L", "US gal", "nan", "inf", "½"),
        *("(", ")", "__import__", "\x00", "\u202e", "٣", "\ufdfa", "to", "about "),
    ]
)
MESSY = st.one_of(st.text(max_size=80), st.lists(FRAGMENTS, max_size=12).map("".join))


@cache
def usual_s() -> float:
    """What all parsers take for a usual text, of the processor."""
    begun = time.process_time()
    for _ in range(20):
        for parse in PARSERS:
            with suppress(UnitError):
                parse("0.25 mg/L as N")
    return (time.process_time() - begun) / 20


@given(text=MESSY)
@settings(max_examples=400, deadline=None)
def test_random_text_raises_nothing_but_a_unit_error_and_is_quick(text: str) -> None:
    started = time.process_time()
    for parse in PARSERS:
        try:
            parse(text)
        except UnitError as error:
            assert error.key.startswith("unit.")
            assert 10 < len(str(error)) < 600
    assert time.process_time() - started < USUAL_TIMES * usual_s()


@given(thing=st.one_of(st.none(), st.booleans(), st.lists(st.integers(), max_size=3), st.dates()))
@settings(max_examples=40, deadline=None)
def test_what_is_no_text_is_refused(thing: object) -> None:
    for parse in PARSERS:
        with pytest.raises(UnitError):
            parse(thing)


@pytest.mark.parametrize("parse", PLAIN)
def test_a_power_tower_is_a_plain_error(parse: Callable[[object], float]) -> None:
    with pytest.raises(UnitError) as caught:
        parse("9**9**9**9")
    assert caught.value.key == "unit.not-a-quantity"
    assert "'9**9**9**9' is not a number with a unit" in str(caught.value)


@pytest.mark.parametrize("number", [60, 60.0, 0, -3, float("nan")])
def test_a_plain_number_is_refused_with_the_unit_to_write(number: float) -> None:
    with pytest.raises(UnitError) as caught:
        units.parse_length_cm(number)
    assert caught.value.key == "unit.plain-number"
    assert '"60 cm"' in str(caught.value)
    assert caught.value.arguments["example"] == "60 cm"


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("", "unit.empty"),
        ("   ", "unit.empty"),
        ("57", "unit.missing"),
        ("57 parsecs", "unit.unknown"),
        ("20 gal", "unit.ambiguous"),
        ("-3 L", "unit.negative"),
        ("nan L", "unit.not-finite"),
        ("inf L", "unit.not-finite"),
        ("-inf", "unit.not-finite"),
        ("1e99 L", "unit.not-finite"),
        ("9999999 L", "unit.out-of-range"),
        ("1,250 L", "unit.ambiguous-comma"),
        ("5 1/0 L", "unit.zero-division"),
        ("> 50 L", "unit.one-number"),
        ("50..60 L", "unit.one-number"),
        ("60..50 L", "unit.range-reversed"),
        ("> 50..60 L", "unit.mixed-range"),
        ("L", "unit.not-a-quantity"),
        ("1.2.3 L", "unit.not-a-quantity"),
        ("5" * (MAX_LENGTH + 1), "unit.too-long"),
        ("2 * 3 L", "unit.unknown"),
        ("(57) L", "unit.not-a-quantity"),
        ("0x10 L", "unit.unknown"),
        ("1_000 L", "unit.unknown"),
    ],
)
def test_refusals_have_a_key_and_a_remedy(text: str, key: str) -> None:
    with pytest.raises(UnitError) as caught:
        units.parse_volume_l(text)
    assert caught.value.key == key, str(caught.value)


def test_an_unknown_unit_names_the_units_that_are_read() -> None:
    with pytest.raises(UnitError, match="mL, L, m3, US gal, imperial gal"):
        units.parse_volume_l("57 parsecs")


def test_a_bare_gallon_names_both() -> None:
    with pytest.raises(UnitError, match="'US gal' or 'imperial gal'"):
        units.parse_volume_l("20 gallons")


@pytest.mark.parametrize(
    ("text", "kind", "first", "second"),
    [
        ("5 x", "exact", 5, 5),
        ("> 5 x", "above", 5, 5),
        ("≥5 x", "above", 5, 5),
        (">= 5 x", "above", 5, 5),
        ("<5 x", "below", 5, 5),
        ("≤ 5 x", "below", 5, 5),
        ("~5 x", "about", 5, 5),
        ("≈ 5 x", "about", 5, 5),
        ("about 5 x", "about", 5, 5),
        ("ca. 5 x", "about", 5, 5),
        ("0.3..0.7 x", "range", 0.3, 0.7),
        ("0,3 … 0,7 x", "range", 0.3, 0.7),
        ("0.3-0.7 x", "range", 0.3, 0.7),
        ("0.3–0.7 x", "range", 0.3, 0.7),
        ("0.3 to 0.7 x", "range", 0.3, 0.7),
        (".5 x", "exact", 0.5, 0.5),
        ("0,125 x", "exact", 0.125, 0.125),
        ("1½ x", "exact", 1.5, 1.5),
        ("23 1/2 x", "exact", 23.5, 23.5),
        ("1/4 x", "exact", 0.25, 0.25),
        ("−5 x", "exact", -5, -5),
        ("1.5e-3 x", "exact", 0.0015, 0.0015),
    ],
)
def test_numbers_and_comparators(text: str, kind: str, first: float, second: float) -> None:
    parsed = parse_quantity(text, "1 x")
    assert (parsed.kind, parsed.first, parsed.second, parsed.unit) == (kind, first, second, "x")
    assert parsed.raw == text
