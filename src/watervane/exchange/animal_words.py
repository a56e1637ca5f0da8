"""From a keeper's words to the animals looked for: a kind, and waters, a quantity each."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from watervane.exchange.problems import TankFileErrors, nearest, shown
from watervane.records import Finding
from watervane.reference import AnimalsWanted
from watervane.reference.catalogue_waters import QUANTITIES
from watervane.reference.catalogue_words import ONE_WORD
from watervane.units import (
    Span,
    UnitError,
    parse_hardness_dgh,
    parse_hardness_dkh,
    parse_temperature_c,
)

_WATER = re.compile(
    r"^\s*(?P<name>[a-z]+)[\s=]+(?:(?P<low>\d+(?:[.,]\d+)?)\s*(?:\.\.|to)\s*)?"
    r"(?P<high>\d+(?:[.,]\d+)?)\s*(?P<unit>.*?)\s*$",
    re.IGNORECASE,
)
_SPELT = {"hardness": "gh", "alkalinity": "kh", "warmth": "temperature", "temp": "temperature"}
_UNITS = {"temperature": "degC", "gh": "dGH", "kh": "dKH"}
_PARSERS: dict[str, Callable[[object], float]] = {
    "temperature": parse_temperature_c,
    "gh": parse_hardness_dgh,
    "kh": parse_hardness_dkh,
}


def read_animal_words(kind: str | None, water: Sequence[str]) -> AnimalsWanted:
    """Read ``fish`` and ``ph 7.2..7.6``, ``gh 12 dGH``, ``kh 6``, ``temperature 24 degC``.

    Raises
    ------
    TankFileErrors
        With every word that cannot be read.
    """
    problems: list[Finding] = []
    found = None if kind is None else kind.strip().lower()
    kinds = ONE_WORD["kind"]
    if found is not None and found not in kinds:
        near = nearest(found, kinds) or ""
        told = {"value": shown(kind or ""), "known": list(kinds), "near": near}
        problems.append(Finding("animals-kind", "problem", told))
    ranges: dict[str, Span] = {}
    for text in water:
        _take(text, ranges, problems)
    if problems:
        raise TankFileErrors(problems)
    return AnimalsWanted(found, ranges)


def _take(text: str, ranges: dict[str, Span], problems: list[Finding]) -> None:
    match = _WATER.match(text)
    name = match["name"].lower() if match else text.partition(" ")[0].lower()
    quantity = _SPELT.get(name, name)
    if match is None or quantity not in QUANTITIES:
        near = nearest(quantity, QUANTITIES) or ""
        told = {"value": shown(text), "known": list(QUANTITIES), "near": near}
        problems.append(Finding("animals-water", "problem", told))
        return
    if quantity == "ph" and match["unit"]:
        told = {"value": shown(text), "unit": shown(match["unit"])}
        problems.append(Finding("animals-water-ph", "problem", told))
        return
    try:
        high = _canonical(quantity, match["high"], match["unit"])
        low = _canonical(quantity, match["low"] or match["high"], match["unit"])
    except UnitError as error:
        problems.append(
            Finding("animals-water-unit", "problem", {"value": shown(text), "why": str(error)})
        )
        return
    if low > high:
        problems.append(Finding("animals-water-reversed", "problem", {"value": shown(text)}))
        return
    ranges[quantity] = Span(low, high)


def _canonical(quantity: str, figure: str, unit: str) -> float:
    number = figure.replace(",", ".")
    if quantity == "ph":
        return float(number)
    return _PARSERS[quantity](f"{number} {unit or _UNITS[quantity]}")
