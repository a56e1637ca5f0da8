"""What a keeper read off a kit: one entry for every quantity."""

from __future__ import annotations

from collections.abc import Sequence

from watervane.units._values import QUANTITY_UNITS, ReadingValue
from watervane.units.concentrations import SUBSTANCES, as_value, parse_concentration
from watervane.units.errors import UnitError, shown
from watervane.units.grammar import parse_quantity
from watervane.units.plain import refuse_open
from watervane.units.vocabulary import (
    CARBONATE_HARDNESS,
    CONDUCTIVITY,
    GENERAL_HARDNESS,
    PH,
    TEMPERATURE,
    Dimension,
)

_DIMENSIONS: dict[str, Dimension] = {
    "ph": PH,
    "kh": CARBONATE_HARDNESS,
    "gh": GENERAL_HARDNESS,
    "temperature": TEMPERATURE,
    "conductivity": CONDUCTIVITY,
}


def parse_reading(text: object, quantity: str) -> ReadingValue:
    """Read a test result in the canonical unit of its quantity.

    Parameters
    ----------
    text : str
        Such as ``"0.7 mg/L as N"``, ``"> 5 mg/L"``, ``"6.4..6.8"`` (pH), ``"77 F"``.
        pH may be a plain number.
    quantity : str
        A key of ``QUANTITY_UNITS``, or a further dissolved substance.

    Returns
    -------
    ReadingValue
        Bounds in ``QUANTITY_UNITS[quantity]``; ``raw`` keeps the text as written.

    Raises
    ------
    UnitError
        With what was read and what to write instead.
    """
    if quantity in SUBSTANCES:
        return parse_concentration(text, quantity)
    dimension = _DIMENSIONS.get(quantity)
    if dimension is None:
        known = sorted({*QUANTITY_UNITS, *SUBSTANCES})
        raise UnitError(
            "unit.unknown-quantity",
            f"'{shown(quantity)}' is no quantity that is read; known are {', '.join(known)}.",
            quantity=shown(quantity),
            known=tuple(known),
        )
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        if quantity == "ph":
            text = repr(text)
        elif text == 0 and quantity in ("kh", "gh"):
            text = "0"
    parsed = parse_quantity(text, dimension.example)
    nothing = parsed.unit == "" and parsed.first == parsed.second == 0.0
    if nothing and quantity in ("kh", "gh", "conductivity"):
        return as_value(parsed, 0.0, 0.0, "none")
    unit = dimension.unit(parsed.unit, parsed.raw)
    low = dimension.canonical_value(parsed.first, unit, parsed.raw)
    high = dimension.canonical_value(parsed.second, unit, parsed.raw)
    return as_value(parsed, low, high, "none")


def parse_scale(steps: Sequence[object], unit: str, quantity: str) -> tuple[tuple[float, ...], str]:
    """Read the printed steps of a kit and their basis.

    Parameters
    ----------
    steps : sequence of str or number
        As printed, ascending; each may carry its own unit, else ``unit`` is used.
    unit : str
        Unit of all steps, such as ``"mg/L as N"``; empty for pH.
    quantity : str
        A key of ``QUANTITY_UNITS``.

    Returns
    -------
    tuple of (steps, basis)
        Steps in the canonical unit; basis ``n``, ``ion``, ``unknown`` or ``none``.
    """
    if not steps:
        raise UnitError("unit.empty", "The kit has no steps; list them, lowest first.")
    values: list[float] = []
    basis = "none"
    for step in steps:
        if isinstance(step, bool) or not isinstance(step, (str, int, float)):
            parse_reading(step, quantity)  # refuses it with its own message
        text = str(step).strip()
        bare = parse_quantity(text, "0.5")
        refuse_open(bare, "0.5")
        value = parse_reading(f"{text} {unit}" if bare.unit == "" else text, quantity)
        level = value.low or 0.0
        if values and level <= values[-1]:
            raise UnitError(
                "unit.steps-not-ascending",
                f"The step '{shown(step)}' does not rise above the one before; "
                "list the steps from the lowest to the highest.",
                read=shown(step),
            )
        values.append(level)
        basis = value.basis
    return tuple(values), basis
