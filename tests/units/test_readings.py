"""Readings: basis, comparators, kit steps, and the way back from print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane import units
from watervane.units import ReadingValue, UnitError
from watervane.units.concentrations import SUBSTANCES

NH4, NH3, NO2, NO3 = 1.28785, 1.21588, 3.28454, 4.42680


@pytest.mark.parametrize(
    ("text", "quantity", "kind", "low", "high", "basis"),
    [
        ("0.7 mg/L as N", "ammonia", "exact", 0.7, 0.7, "n"),
        ("0.7 mg N/L", "ammonia", "exact", 0.7, 0.7, "n"),
        ("0.7 mg/L NH3-N", "ammonia", "exact", 0.7, 0.7, "n"),
        ("0.7 mg NH4-N/L", "ammonia", "exact", 0.7, 0.7, "n"),
        ("0.7 mg/L NH4+-N", "ammonia", "exact", 0.7, 0.7, "n"),
        ("0.7 mg/L TAN", "ammonia", "exact", 0.7, 0.7, "n"),
        ("1 mg/L as NH4", "ammonia", "exact", 1 / NH4, 1 / NH4, "ion"),
        ("1 mg/L as NH3", "ammonia", "exact", 1 / NH3, 1 / NH3, "ion"),
        ("1 mg/L as ion", "ammonia", "exact", 1 / NH4, 1 / NH4, "ion"),
        ("1 mg/L", "ammonia", "exact", 1 / NH4, 1 / NH4, "unknown"),
        ("1 ppm", "ammonia", "exact", 1 / NH4, 1 / NH4, "unknown"),
        ("1000 µg/L as N", "ammonia", "exact", 1.0, 1.0, "n"),
        ("1000 ug/l as n", "ammonia", "exact", 1.0, 1.0, "n"),
        ("0.1 mmol/L", "ammonia", "exact", 1.40067, 1.40067, "n"),
        ("> 5 mg/L", "nitrite", "above", 5 / NO2, None, "unknown"),
        ("< 0.3 mg/L as N", "nitrite", "below", None, 0.3, "n"),
        ("0.3..0.7 mg/L as NO2", "nitrite", "range", 0.3 / NO2, 0.7 / NO2, "ion"),
        ("~20 mg/L NO3⁻", "nitrate", "about", 20 / NO3, 20 / NO3, "ion"),
        ("0", "nitrate", "exact", 0.0, 0.0, "unknown"),
        (0, "nitrate", "exact", 0.0, 0.0, "unknown"),
        ("0.5 mg/L", "chlorine", "exact", 0.5, 0.5, "none"),
        ("1.5 mg/L", "chloramine", "exact", 1.5, 1.5, "none"),
        ("8 mg/L O2", "oxygen", "exact", 8.0, 8.0, "none"),
        ("0.25 mmol/L", "oxygen", "exact", 7.9997, 7.9997, "none"),
        ("7.6", "ph", "exact", 7.6, 7.6, "none"),
        (7.6, "ph", "exact", 7.6, 7.6, "none"),
        (7, "ph", "exact", 7.0, 7.0, "none"),
        ("6,4..6,8", "ph", "range", 6.4, 6.8, "none"),
        ("> 8.4", "ph", "above", 8.4, None, "none"),
        ("0.45 mS/cm", "conductivity", "exact", 450.0, 450.0, "none"),
        ("450 µS/cm", "conductivity", "exact", 450.0, 450.0, "none"),
        ("77 °F", "temperature", "exact", 25.0, 25.0, "none"),
        ("75..77 °F", "temperature", "range", 23.8889, 25.0, "none"),
        ("3..6 dKH", "kh", "range", 3.0, 6.0, "none"),
        ("0", "kh", "exact", 0.0, 0.0, "none"),
        ("0.3 mg/L as P", "phosphate", "exact", 0.3, 0.3, "n"),
    ],
)
def test_readings(
    text: object, quantity: str, kind: str, low: float | None, high: float | None, basis: str
) -> None:
    value = units.parse_reading(text, quantity)
    assert (value.kind, value.basis) == (kind, basis)
    assert value.low == (None if low is None else pytest.approx(low, rel=4.2e-6))
    assert value.high == (None if high is None else pytest.approx(high, rel=4.2e-6))
    assert value.raw == str(text)


@pytest.mark.parametrize(
    ("text", "quantity", "key"),
    [
        ("0.5", "nitrate", "unit.missing"),
        (0.5, "nitrate", "unit.plain-number"),
        ("-1 mg/L", "nitrate", "unit.negative"),
        ("1 mg/L as NO2", "nitrate", "unit.unknown"),
        ("1 mg/L as attosecond", "ammonia", "unit.unknown"),
        ("1 mg NO3/L as N", "nitrate", "unit.unknown"),
        ("< 0 mg/L", "nitrite", "unit.below-nothing"),
        ("14.2", "ph", "unit.out-of-range"),
        ("-1", "ph", "unit.negative"),
        ("7.6 mg/L", "ph", "unit.unknown"),
        (True, "ph", "unit.not-text"),
        (float("nan"), "ph", "unit.not-finite"),
        ("0", "temperature", "unit.missing"),
        ("25", "temperature", "unit.missing"),
        ("9**9**9**9", "ammonia", "unit.not-a-quantity"),
        ("1e9 mg/L", "oxygen", "unit.out-of-range"),
        ("1 mg/L", "mood", "unit.unknown-quantity"),
    ],
)
def test_readings_refused(text: object, quantity: str, key: str) -> None:
    with pytest.raises(UnitError) as caught:
        units.parse_reading(text, quantity)
    assert caught.value.key == key, str(caught.value)


def test_every_readable_quantity_is_read_in_its_canonical_unit() -> None:
    for quantity, unit in units.QUANTITY_UNITS.items():
        value = units.parse_reading(f"4 {unit}", quantity)
        assert value.low == value.high == pytest.approx(4.0)


def test_kit_steps_share_unit_and_basis() -> None:
    steps, basis = units.parse_scale(["0", "0.3", 0.7, "1,5"], "mg/L as N", "ammonia")
    assert steps == pytest.approx((0.0, 0.3, 0.7, 1.5))
    assert basis == "n"
    assert units.parse_scale(["6", "6.4", 7], "", "ph") == ((6.0, 6.4, 7.0), "none")


@pytest.mark.parametrize(
    ("steps", "key"),
    [
        ([], "unit.empty"),
        (["0", "0"], "unit.steps-not-ascending"),
        (["1", "0.5"], "unit.steps-not-ascending"),
        (["0", "> 1"], "unit.one-number"),
        (["0", None], "unit.not-text"),
        (["0", "1 dKH"], "unit.unknown"),
    ],
)
def test_bad_kit_steps(steps: list[object], key: str) -> None:
    with pytest.raises(UnitError) as caught:
        units.parse_scale(steps, "mg/L", "nitrate")
    assert caught.value.key == key


def _bases(quantity: str) -> tuple[str, ...]:
    nutrient = quantity in SUBSTANCES and SUBSTANCES[quantity].unstated_basis == "unknown"
    return ("n", "ion", "unknown") if nutrient else ("none",)


@st.composite
def _values(draw: st.DrawFn) -> tuple[str, ReadingValue]:
    quantity = draw(st.sampled_from(sorted({*units.QUANTITY_UNITS, "chloramine"})))
    basis = draw(st.sampled_from(_bases(quantity)))
    kind = draw(st.sampled_from(["exact", "about", "above", "below", "range"]))
    top = {"ph": 14.0, "temperature": 60.0}.get(quantity, 500.0)
    first = draw(st.floats(0.0005, top))
    second = draw(st.floats(first, top)) if kind == "range" else first
    low = None if kind == "below" else first
    high = None if kind == "above" else second
    return quantity, ReadingValue(kind, low, high, basis)


@given(drawn=_values())
def test_a_printed_reading_reads_back(drawn: tuple[str, ReadingValue]) -> None:
    quantity, value = drawn
    back = units.parse_reading(units.format_reading(value, quantity), quantity)
    assert (back.kind, back.basis) == (value.kind, value.basis)
    for ours, theirs in ((back.low, value.low), (back.high, value.high)):
        assert ours == (None if theirs is None else pytest.approx(theirs, rel=1e-9))
