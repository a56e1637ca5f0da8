"""Numbers back into text a keeper reads, with no more digits than they are worth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from watervane.units import conversions as c
from watervane.units._values import ReadingValue
from watervane.units.concentrations import SUBSTANCES
from watervane.units.errors import UnitError, shown

STYLES = ("canonical", "ion", "both", "us")


@dataclass(frozen=True, slots=True)
class _Print:
    """Unit text, canonical-to-printed factor and shift, and how many digits."""

    unit: str
    factor: float = 1.0
    shift: float = 0.0  # added after the factor
    significant: int = 2
    most_decimals: int = 3
    fixed_decimals: int | None = None


_ION = {
    "ammonia": ("mg/L as NH4", c.NH4_PER_N),
    "nitrite": ("mg/L as NO2", c.NO2_PER_N),
    "nitrate": ("mg/L as NO3", c.NO3_PER_N),
    "phosphate": ("mg/L as PO4", c.PO4_PER_P),
}
_CANONICAL = {
    "ammonia": _Print("mg/L as N"),
    "nitrite": _Print("mg/L as N"),
    "nitrate": _Print("mg/L as N"),
    "phosphate": _Print("mg/L as P"),
    "ph": _Print("", fixed_decimals=1),
    "kh": _Print("dKH", fixed_decimals=1),
    "gh": _Print("dGH", fixed_decimals=1),
    "temperature": _Print("\u00b0C", fixed_decimals=1),
    "conductivity": _Print("\u00b5S/cm", significant=3, most_decimals=0),
    "length": _Print("cm", significant=3, most_decimals=1),
    "volume": _Print("L", significant=3, most_decimals=2),
    "flow": _Print("L/h", significant=3, most_decimals=1),
    "power": _Print("W", significant=2, most_decimals=0),
    "mass": _Print("g", significant=2, most_decimals=4),
    "duration": _Print("h", significant=2, most_decimals=2),
    "days": _Print("d", significant=2, most_decimals=1),
    "altitude": _Print("m", significant=3, most_decimals=0),
    **{name: _Print("mg/L") for name, s in SUBSTANCES.items() if s.canonical == "mg/L"},
    "oxygen": _Print("mg/L", fixed_decimals=1),
}
_US = {
    "temperature": _Print("\u00b0F", 1.8, 32.0, fixed_decimals=0),
    "length": _Print("in", 1 / c.CM_PER_INCH, significant=3, most_decimals=1),
    "volume": _Print("US gal", 1 / c.L_PER_US_GALLON, significant=3, most_decimals=2),
    "flow": _Print("US gph", 1 / c.L_PER_US_GALLON, significant=3, most_decimals=1),
    "kh": _Print("ppm as CaCO3", c.MG_CACO3_PER_DEGREE, significant=2, most_decimals=0),
    "gh": _Print("ppm as CaCO3", c.MG_CACO3_PER_DEGREE, significant=2, most_decimals=0),
    "altitude": _Print("ft", 100 / c.CM_PER_FOOT, significant=3, most_decimals=0),
}


def format_quantity(value: float, quantity: str, style: str = "canonical") -> str:
    """Print a canonical value with its unit.

    Parameters
    ----------
    value : float
        In the canonical unit of ``quantity``.
    quantity : str
        A readable quantity, or ``length``, ``volume``, ``flow``, ``power``, ``mass``,
        ``duration``, ``days``, ``altitude``.
    style : str
        ``canonical``; ``ion`` (mg of the ion); ``both`` (as N, and as the ion in
        brackets); ``us`` (degrees Fahrenheit, inches, US gallons, ppm as CaCO3).
        A style that does not concern the quantity prints it canonically.
    """
    if style not in STYLES:
        raise UnitError(
            "unit.unknown-style",
            f"'{shown(style)}' is no style; known are {', '.join(STYLES)}.",
            style=shown(style),
        )
    if not math.isfinite(value):
        raise UnitError("unit.not-finite", f"'{value}' cannot be printed.", read=str(value))
    if style == "both" and quantity in _ION:
        ion = format_quantity(value, quantity, "ion")
        return f"{format_quantity(value, quantity)} ({ion})"
    how = _how(quantity, style)
    return _join(_digits(value * how.factor + how.shift, how), how.unit)


def format_reading(value: ReadingValue, quantity: str) -> str:
    """Print a reading so that it parses back to the same bounds and basis."""
    how = _how(quantity, "ion" if value.basis in ("ion", "unknown") else "canonical")
    unit = how.unit.split(" as ")[0] if value.basis == "unknown" else how.unit
    low = None if value.low is None else _exact(value.low * how.factor + how.shift)
    high = None if value.high is None else _exact(value.high * how.factor + how.shift)
    if value.kind == "above":
        number = f"> {low}"
    elif value.kind == "below":
        number = f"< {high}"
    elif value.kind == "range":
        number = f"{low}..{high}"
    else:
        number = f"~{low}" if value.kind == "about" else f"{low}"
    return _join(number, unit)


def _how(quantity: str, style: str) -> _Print:
    if style == "ion" and quantity in _ION:
        unit, factor = _ION[quantity]
        return _Print(unit, factor)
    if style == "us" and quantity in _US:
        return _US[quantity]
    try:
        return _CANONICAL[quantity]
    except KeyError:
        raise UnitError(
            "unit.unknown-quantity",
            f"'{shown(quantity)}' is no quantity that is printed.",
            quantity=shown(quantity),
        ) from None


def _digits(value: float, how: _Print) -> str:
    if how.fixed_decimals is not None:
        decimals = how.fixed_decimals
    elif value == 0:
        decimals = 0
    else:
        magnitude = math.floor(math.log10(abs(value)))
        decimals = min(how.most_decimals, max(0, how.significant - 1 - magnitude))
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        return "0"
    if how.fixed_decimals is None and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text


def _exact(value: float) -> str:
    """Fifteen digits without an exponent, so that nothing is lost on the way back."""
    text = f"{value:.15g}"
    return f"{value:.17f}".rstrip("0").rstrip(".") if "e-" in text else text


def _join(number: str, unit: str) -> str:
    return f"{number} {unit}" if unit else number
