"""Numbers as text that the unit grammar reads back to the very same number."""

from __future__ import annotations

import math

from watervane.records import ReadingValue, Span
from watervane.units import UnitError, format_reading, parse_reading

NOTHING = 1e-90

_UNITS = {"kh": "dKH", "gh": "dGH", "temperature": "degC", "conductivity": "uS/cm", "ph": ""}
_UNITS |= dict.fromkeys(("ammonia", "nitrite", "nitrate"), "mg/L as N")
_UNITS["phosphate"] = "mg/L as P"
_ION = {
    "ammonia": "mg/L as NH4",
    "nitrite": "mg/L as NO2",
    "nitrate": "mg/L as NO3",
    "phosphate": "mg/L as PO4",
}


def number_text(value: float) -> str:
    """Shortest decimal text of a number; the grammar reads exponents of two digits."""
    if abs(value) < NOTHING:
        return "0"
    return repr(float(value)).removesuffix(".0")


def level_text(value: float, quantity: str) -> str:
    """A water quantity in its canonical unit."""
    return f"{number_text(value)} {_UNITS.get(quantity, 'mg/L')}".rstrip()


def grams_text(span: Span) -> str:
    """A mass [g], or the range of one."""
    if span.low == span.high:
        return f"{number_text(span.low)} g"
    return f"{number_text(span.low)}..{number_text(span.high)} g"


def unit_text(quantity: str, basis: str) -> str:
    """Unit of a quantity on a basis: ``n``, ``ion``, ``unknown`` or ``none``."""
    if basis == "ion":
        return _ION.get(quantity, "mg/L")
    return "mg/L" if basis == "unknown" else _UNITS.get(quantity, "mg/L")


def reading_text(value: ReadingValue, quantity: str) -> str:
    """A reading in the keeper's own words where they still say the same, else rebuilt."""
    if value.low is None and value.high is None:
        return value.kind  # somebody's word
    if value.raw and _same(value, value.raw, quantity):
        return value.raw
    return format_reading(value, quantity)


def step_text(step: float, quantity: str, basis: str) -> str:
    """One printed step of a kit, without its unit, that reads back to ``step``."""
    unit = unit_text(quantity, basis)
    guess = float(format_reading(ReadingValue("exact", step, step, basis), quantity).split()[0])
    around = [guess, math.nextafter(guess, 0.0), math.nextafter(guess, math.inf)]
    for candidate in (*(float(f"{guess:.{digits}g}") for digits in range(1, 17)), *around):
        text = number_text(candidate)
        if parse_reading(f"{text} {unit}".strip(), quantity).low == step:
            return text
    return number_text(guess)


def _same(value: ReadingValue, text: str, quantity: str) -> bool:
    try:
        read = parse_reading(text, quantity)
    except UnitError:
        return False
    return (read.kind, read.low, read.high, read.basis) == (
        value.kind,
        value.low,
        value.high,
        value.basis,
    )
