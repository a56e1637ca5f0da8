"""Foods: dry mass, protein, moisture and phosphorus of a pinch, a pellet, a wafer..."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from watervane.reference.names import UnknownNameError, plain_name, singular
from watervane.reference.tables import Row, load_table
from watervane.units import Span


@cache
def food_amounts() -> Mapping[str, Span]:
    """Dry mass of one of each amount keepers count in [g]."""
    return MappingProxyType({name: span_of(row) for name, row in _rows("dry mass").items()})


def food_protein(name: str) -> Row:
    """Protein of a food by its dry mass [g/g].

    Raises
    ------
    UnknownNameError
        With the names that are known.
    """
    return _row("protein", name)


def food_moisture(name: str) -> Row:
    """Water of a food by its mass as it is given [g/g]; errors as `food_protein`."""
    return _row("moisture", name)


def food_phosphorus(name: str) -> Row:
    """Phosphorus of a food by its dry mass [g/g]; errors as `food_protein`."""
    return _row("phosphorus", name)


def as_given_g(name: str) -> Span:
    """What one amount of a food weighs on a scale at its usual moisture, water and all [g].

    Raises
    ------
    UnknownNameError
        With the names that are known.
    """
    dry, solid = span_of(_row("dry mass", name)), 1.0 - food_moisture(name).value
    return Span(dry.low / solid, dry.high / solid)


def span_of(row: Row) -> Span:
    """The range of a row, or its value alone where it is exact."""
    if row.low is None or row.high is None:
        return Span.exact(row.value)
    return Span(row.low, row.high)


def _row(quantity: str, name: str) -> Row:
    rows = _rows(quantity)
    wanted = plain_name(name)
    found = rows.get(wanted) or rows.get(singular(wanted))
    if found is None:
        raise UnknownNameError("food", name, rows)
    return found


def _rows(quantity: str) -> dict[str, Row]:
    return {r.extra["name"]: r for r in load_table("foods") if r.quantity == quantity}
