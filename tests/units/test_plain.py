"""Single quantities: spellings by hand, and every plain unit against pint."""

from __future__ import annotations

from collections.abc import Callable

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane import units
from watervane.units import UnitError

PINT = pint.UnitRegistry()
# our spelling, pint's spelling, our parser, pint's name of our canonical unit
AGAINST_PINT = [
    *(
        (ours, theirs, units.parse_length_cm, "cm")
        for ours, theirs in [
            *(("mm", "mm"), ("cm", "cm"), ("m", "m")),
            *(("in", "inch"), ('"', "inch"), ("ft", "foot"), ("inches", "inch")),
        ]
    ),
    *(
        (ours, theirs, units.parse_volume_l, "liter")
        for ours, theirs in [
            *(("mL", "mL"), ("cl", "cl"), ("L", "L"), ("m3", "m**3"), ("ft3", "ft**3")),
            *(("US gal", "gallon"), ("imperial gal", "imperial_gallon")),
            *(("US fl oz", "fluid_ounce"), ("US qt", "quart")),
        ]
    ),
    *(
        (ours, theirs, units.parse_mass_g, "gram")
        for ours, theirs in [
            *(("mg", "mg"), ("g", "g"), ("kg", "kg"), ("oz", "ounce"), ("lb", "pound")),
        ]
    ),
    *(
        (ours, theirs, units.parse_flow_l_per_h, "liter/hour")
        for ours, theirs in [
            *(("L/h", "L/hour"), ("L/min", "L/min"), ("mL/min", "mL/min"), ("m3/h", "m**3/hour")),
            *(("US gph", "gallon/hour"), ("imp gph", "imperial_gallon/hour"), ("L/s", "L/s")),
        ]
    ),
    *((u, u, units.parse_power_w, "watt") for u in ("W", "kW")),
    *((u, u, units.parse_duration_h, "hour") for u in ("s", "min", "h", "day", "week")),
    *((u, u, units.parse_days, "day") for u in ("hour", "day", "week")),
    *((u, u, units.parse_altitude_m, "meter") for u in ("m", "km", "ft")),
    *((u, u, units.parse_temperature_c, "degC") for u in ("degC", "degF")),
]


@pytest.mark.parametrize(
    ("ours", "theirs", "parse", "canonical"),
    AGAINST_PINT,
    ids=[f"{row[3]}-{row[0]}" for row in AGAINST_PINT],
)
@given(number=st.floats(0.01, 5.0))
@settings(max_examples=10, deadline=None)
def test_plain_units_agree_with_pint(
    ours: str, theirs: str, parse: Callable[[object], float], canonical: str, number: float
) -> None:
    expected = PINT.Quantity(number, theirs).to(canonical).magnitude
    assert parse(f"{number!r} {ours}") == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("25 degC", 25.0),
        ("25 °C", 25.0),
        ("25°C", 25.0),
        ("25 ℃", 25.0),
        ("25 º C", 25.0),
        ("25 C", 25.0),
        ("25c", 25.0),
        ("24,5 °C", 24.5),
        ("77 degF", 25.0),
        ("77 °F", 25.0),
        ("77F", 25.0),
        ("-4 °C", -4.0),
        ("~25 °C", 25.0),
    ],
)
def test_temperatures(text: str, expected: float) -> None:
    assert units.parse_temperature_c(text) == pytest.approx(expected)


@pytest.mark.parametrize("text", ["-60 °C", "300 °F", "25 K", "25", "20..25 °C"])
def test_temperatures_refused(text: str) -> None:
    with pytest.raises(UnitError):
        units.parse_temperature_c(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("1 d", 1), ("2 days", 2), ("1 week", 7), ("12 h", 0.5), ("1 day", 1), ("2 weeks", 14)],
)
def test_days(text: str, expected: float) -> None:
    assert units.parse_days(text) == pytest.approx(expected)


@pytest.mark.parametrize("text", ["1 month", "1 year"])
def test_calendar_units_have_no_fixed_length(text: str) -> None:
    with pytest.raises(UnitError, match="number of days or weeks"):
        units.parse_days(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5 dKH", 5.0),
        ("5 °dKH", 5.0),
        ("5 ° dKH", 5.0),
        ("5 °dH", 5.0),
        ("1.78325 meq/L", 5.0),
        ("1.78325 mmol/l", 5.0),
        ("89.24 ppm", 5.0),
        ("89.24 mg/L CaCO3", 5.0),
        ("89.24 mg/l as CaCO₃", 5.0),
        ("108.808 mg/L HCO3", 5.0),
        ("108.808 mg/L HCO₃⁻", 5.0),
        ("50 mg/L as CaO", 5.0),
        ("8.924 °fH", 5.0),
        ("6.2606 Clark degrees", 5.0),
    ],
)
def test_carbonate_hardness(text: str, expected: float) -> None:
    assert units.parse_hardness_dkh(text) == pytest.approx(expected, rel=1e-4)


def test_hardness_units_of_the_other_kind_are_refused() -> None:
    for parse, text in [(units.parse_hardness_dkh, "5 dGH"), (units.parse_hardness_dgh, "5 dKH")]:
        with pytest.raises(UnitError) as caught:
            parse(text)
        assert caught.value.key == "unit.unknown"


def test_a_mole_means_one_thing_in_each_hardness() -> None:
    # acid capacity: one equivalent a mole; calcium and magnesium: two
    assert units.parse_hardness_dkh("1 mmol/L") == pytest.approx(2.8039, abs=1e-4)
    assert units.parse_hardness_dgh("1 mmol/L") == pytest.approx(5.6077, abs=1e-4)


def test_bare_milligrams_of_hardness_ask_back() -> None:
    with pytest.raises(UnitError, match="'mg/L as CaCO3' or 'mg/L as HCO3'"):
        units.parse_hardness_dkh("90 mg/L")
