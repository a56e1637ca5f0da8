"""Quantities only the tank file knows: thickness in mm, salinity, amounts of a dose."""

from __future__ import annotations

from watervane.exchange.problems import shown
from watervane.records import Span
from watervane.units import UnitError, parse_length_cm, parse_mass_g, parse_volume_l
from watervane.units.grammar import Parsed, parse_quantity

# Common practice, no source: 20 drops a millilitre; dropper tips differ by half either way.
DROP_ML = Span(0.03, 0.07)
# Dilute solutions weigh about a gram a millilitre (10 % ammonia 0.96, 20 % salts 1.1).
SOLUTION_G_PER_ML = 1.0
MOST_SALT_G_PER_KG = 45.0

_SALINITY_UNITS = ("g/kg", "ppt", "psu", "g/l", "\u2030")
_DROPS = ("drop", "drops")


def parse_length_mm(text: object) -> float:
    """Read a thickness or grain in any unit of length; length [mm]."""
    return float(f"{10.0 * parse_length_cm(text):.12g}")


def parse_salinity_g_per_kg(text: object) -> float:
    """Read a salinity such as ``"2 g/kg"``; salinity [g/kg]."""
    parsed = _one_number(text, "2 g/kg")
    if parsed.unit.lower().replace(" ", "") not in _SALINITY_UNITS:
        raise _unknown_unit(parsed, "salinity", "g/kg, ppt")
    if not 0.0 <= parsed.first <= MOST_SALT_G_PER_KG:
        raise UnitError(
            "unit.out-of-range",
            f"'{shown(parsed.raw)}' is out of range.",
            read=shown(parsed.raw),
            dimension="salinity",
            lowest=0.0,
            highest=MOST_SALT_G_PER_KG,
        )
    return parsed.first


def parse_dose_g(text: object) -> Span:
    """Read an amount of a substance: a mass, a volume of solution, or drops; mass [g]."""
    parsed = parse_quantity(text, "2 g")
    if parsed.unit.lower() in _DROPS and parsed.kind in ("exact", "about", "range"):
        if parsed.first < 0:
            parse_mass_g(f"{parsed.first:g} g")  # refuses it with its own message
        low, high = parsed.first * DROP_ML.low, parsed.second * DROP_ML.high
        return Span(SOLUTION_G_PER_ML * low, SOLUTION_G_PER_ML * high)
    if parsed.kind == "range":
        low = _grams(f"{parsed.first!r} {parsed.unit}")
        return Span(low, _grams(f"{parsed.second!r} {parsed.unit}"))
    return Span.exact(_grams(text))


def _grams(text: object) -> float:
    try:
        return parse_mass_g(text)
    except UnitError as error:
        if error.key != "unit.unknown":
            raise
        mass_error = error
    try:
        return 1000.0 * SOLUTION_G_PER_ML * parse_volume_l(text)
    except UnitError as error:
        if error.key != "unit.unknown":
            raise
        mass_error.arguments["accepted"] = "mg, g, kg, mL, L, drops"
        raise mass_error from None


def _one_number(text: object, example: str) -> Parsed:
    parsed = parse_quantity(text, example)
    if parsed.kind not in ("exact", "about"):
        raise UnitError(
            "unit.one-number",
            f"'{shown(parsed.raw)}' is not one number.",
            read=shown(parsed.raw),
            example=example,
        )
    return parsed


def _unknown_unit(parsed: Parsed, dimension: str, accepted: str) -> UnitError:
    return UnitError(
        "unit.unknown",
        f"'{shown(parsed.raw)}': the unit is not one of {dimension}; read here: {accepted}.",
        read=shown(parsed.raw),
        unit=shown(parsed.unit) or "nothing",
        dimension=dimension,
        accepted=accepted,
    )
