"""Amounts of food: a mass, or a count of pinches, pellets, wafers..."""

from __future__ import annotations

from collections.abc import Mapping

from watervane.units._values import Span
from watervane.units.errors import UnitError, shown
from watervane.units.grammar import normalise, parse_quantity, read_text
from watervane.units.vocabulary import MASS, tidy_unit

_EXAMPLE = "1 pinch"
_ARTICLES = ("a ", "an ", "one ")
MOST_FOOD_G = 1e5


def parse_food(text: object, amounts: Mapping[str, Span]) -> Span:
    """Read an amount of food; dry mass as a span [g].

    Parameters
    ----------
    text : str
        ``"1 pinch"``, ``"2 pellets"``, ``"0.5 wafer"``, ``"0.03 g"``, ``"0"``.
    amounts : mapping of str to Span
        Dry mass of one pinch, pellet, ml and so on, as weighed [g]. A keeper's own
        weighing replaces an entry.

    Raises
    ------
    UnitError
        With what was read and which amounts are known.
    """
    raw = read_text(text, _EXAMPLE)
    plain = normalise(raw)
    for article in _ARTICLES:
        if plain.lower().startswith(article):
            plain = "1 " + plain[len(article) :]
    parsed = parse_quantity(plain, _EXAMPLE)
    if parsed.kind in ("above", "below"):
        raise UnitError(
            "unit.one-number",
            f"'{shown(raw)}' leaves the amount open; write a number or a range such as "
            '"1..2 pinches".',
            read=shown(raw),
        )
    if parsed.first < 0:
        raise UnitError(
            "unit.negative",
            f"'{shown(raw)}' is negative; food cannot be.",
            read=shown(raw),
            dimension="food",
        )
    if parsed.unit == "" and parsed.first == parsed.second == 0.0:
        return Span.exact(0.0)
    one = _one(tidy_unit(parsed.unit), amounts, raw)
    low, high = parsed.first * one.low, parsed.second * one.high
    if high > MOST_FOOD_G:
        raise UnitError(
            "unit.out-of-range",
            f"'{shown(raw)}' is out of range; no tank is fed {high:.3g} g.",
            read=shown(raw),
            dimension="food",
            highest=MOST_FOOD_G,
        )
    return Span(low, high)


def _one(unit: str, amounts: Mapping[str, Span], raw: str) -> Span:
    name = unit.lower()
    for candidate in (name, name.removesuffix("s"), name.removesuffix("es")):
        if candidate and candidate in amounts:
            return amounts[candidate]
    mass = MASS.units.get(unit) or MASS.units.get(name)
    if mass is not None:
        return Span.exact(mass.factor)
    known = ", ".join(sorted(amounts))
    raise UnitError(
        "unit.unknown-food",
        f"'{shown(raw)}': '{shown(unit) or 'no unit'}' is no amount of food; write a mass such as "
        f'"0.05 g" or one of: {known}.',
        read=shown(raw),
        unit=shown(unit),
        accepted=tuple(sorted(amounts)),
    )
