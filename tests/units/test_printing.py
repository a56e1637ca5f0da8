"""Printed quantities: digits that are worth printing, and the way back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane import units
from watervane.units import UnitError, format_quantity


@pytest.mark.parametrize(
    ("value", "quantity", "style", "text"),
    [
        (0.7, "ammonia", "canonical", "0.7 mg/L as N"),
        (0.7, "ammonia", "ion", "0.9 mg/L as NH4"),
        (0.7, "ammonia", "both", "0.7 mg/L as N (0.9 mg/L as NH4)"),
        (4.5178, "nitrate", "both", "4.5 mg/L as N (20 mg/L as NO3)"),
        (0.0123, "nitrite", "canonical", "0.012 mg/L as N"),
        (0.0001, "nitrite", "canonical", "0 mg/L as N"),
        (123.4, "nitrate", "canonical", "123 mg/L as N"),
        (7.63, "ph", "canonical", "7.6"),
        (5.04, "kh", "canonical", "5.0 dKH"),
        (5.0, "kh", "us", "89 ppm as CaCO3"),
        (25.04, "temperature", "canonical", "25.0 °C"),
        (25.0, "temperature", "us", "77 °F"),
        (453.7, "conductivity", "canonical", "454 µS/cm"),
        (57.04, "volume", "canonical", "57 L"),
        (75.708, "volume", "us", "20 US gal"),
        (60.96, "length", "us", "24 in"),
        (0.0412, "mass", "canonical", "0.041 g"),
        (8.26, "oxygen", "both", "8.3 mg/L"),
    ],
)
def test_sensible_digits(value: float, quantity: str, style: str, text: str) -> None:
    assert format_quantity(value, quantity, style) == text


@pytest.mark.parametrize(
    ("value", "quantity", "style"),
    [(1.0, "mood", "canonical"), (1.0, "ph", "loud"), (float("nan"), "ph", "canonical")],
)
def test_refusals(value: float, quantity: str, style: str) -> None:
    with pytest.raises(UnitError):
        format_quantity(value, quantity, style)


PLAIN: dict[str, Callable[[object], float]] = {
    "length": units.parse_length_cm,
    "volume": units.parse_volume_l,
    "flow": units.parse_flow_l_per_h,
    "power": units.parse_power_w,
    "mass": units.parse_mass_g,
    "duration": units.parse_duration_h,
    "days": units.parse_days,
    "altitude": units.parse_altitude_m,
}


@given(
    quantity=st.sampled_from([*PLAIN, *units.QUANTITY_UNITS]),
    style=st.sampled_from(["canonical", "ion", "us"]),
    value=st.floats(1.0, 13.9),
)
def test_what_is_printed_reads_back_to_the_printed_digits(
    quantity: str, style: str, value: float
) -> None:
    text = format_quantity(value, quantity, style)
    if quantity in PLAIN:
        back: float | None = PLAIN[quantity](text)
    else:
        back = units.parse_reading(text, quantity).low
    # two significant digits, or one step of the coarsest fixed print: 0.5 m, W, uS/cm, 1 degF
    assert back == pytest.approx(value, rel=0.051, abs=0.51)
