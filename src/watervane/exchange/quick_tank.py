"""A tank from a few words on a command line, read by the tank file's own reader."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta

from watervane.exchange.problems import TankFileErrors, nearest
from watervane.exchange.tank_reader import parse_tank_text
from watervane.exchange.vocabulary import FORMAT
from watervane.records import NAMELESS_FISH, QUANTITY_UNITS, Finding, OwnAnimal, Tank
from watervane.reference import animal_needs
from watervane.units import UnitError, parse_temperature_c

UNTOLD = f"6 {NAMELESS_FISH}"  # no table knows them, so the strictest limits hold
ASSUMED_VOLUME, ASSUMED_DAYS = "60 L", 21
_BARE = re.compile(r"^[<>~]?\s*[0-9.,]+$")
_STOCK = re.compile(
    r"^\s*(?P<count>\d+)\s+(?P<species>\D.*?)(?:\s+(?P<length>[0-9.,]+\s*(?:cm|mm|in\b|inch\w*)))?\s*$"
)
_TEMPERATURE = re.compile(
    r"^temperature[\s=]+(?P<value>[0-9.,]+)\s*(?:(?:deg|\N{DEGREE SIGN})?\s*(?P<unit>[CF]))?$",
    re.IGNORECASE,
)
USUAL_C = 25.0
_PLAIN = ("ph",)
# A bare figure with degrees can be nothing but warmth; any other has to be named.
_DEGREES = re.compile(r"^[0-9.,]+\s*(?:deg\s*[CF]|\N{DEGREE SIGN}\s*[CF]|[CF])$", re.IGNORECASE)
_NAMELESS = re.compile(r"^[<>~]?\s*[0-9]")
# How the reader of tank files calls a place, and the option it is told by here.
_OPTIONS = {
    "[[reading]]": "--reading",
    **dict.fromkeys((f"{quantity} reading" for quantity in QUANTITY_UNITS), "--reading"),
    "animals-in": "--animals",
    "[tank], volume": "--volume",
}
_UNITS = {"kh": "dKH", "gh": "dGH", "temperature": "degC", "conductivity": "uS/cm"}


def quick_tank(
    now: datetime,
    readings: Sequence[str],
    animals: Sequence[str],
    volume: str | None = None,
    days: int | None = None,
    *,
    own: Sequence[OwnAnimal] = (),
) -> tuple[Tank, tuple[Finding, ...]]:
    """A tank of which hardly anything is told.

    Parameters
    ----------
    now
        When the readings were taken.
    readings
        Such as ``ammonia 0.7 mg/L`` or ``pH=8``; without a unit the usual one is meant.
    animals
        Such as ``6 Danio rerio`` or ``2 goldfish 8 cm``; in the tank since the day after filling.
    volume
        Such as ``60 L``; a usual one where left out.
    days
        Since the tank was filled; a usual number where left out. [d]
    own
        The keeper's own rows of animals.

    Returns
    -------
    Tank, findings
        And what had to be assumed.

    Raises
    ------
    TankFileErrors
        With every word that cannot be read.
    """
    problems: list[Finding] = []
    readings = [
        f"temperature {text}" if _DEGREES.match(text.strip()) else text for text in readings
    ]
    filled = (now - timedelta(days=ASSUMED_DAYS if days is None else days)).date()
    lines = [
        f'format = "{FORMAT}"',
        "[tank]",
        'name = "Your tank"',
        f"filled = {filled.isoformat()}",
        f"volume = {json.dumps(volume or ASSUMED_VOLUME)}",
        f'heater = {{ power = "500 W", set_point = "{_warmth(readings, animals, own)} degC" }}',
    ]
    arrived = max(filled + timedelta(days=1), filled) if days != 0 else filled
    for text in animals or (UNTOLD,):
        lines += _stock(text, arrived.isoformat(), problems)
    for text in readings:
        lines += _reading(text, now, problems)
    if problems:
        raise TankFileErrors(problems)
    try:
        tank = parse_tank_text("\n".join(lines), "the command line")
    except TankFileErrors as error:
        raise TankFileErrors([_of_an_option(problem) for problem in error.problems]) from error
    assumed = _assumed(volume, days, animals, readings, own)
    return replace(tank, own_animals=tuple(own)), assumed


def _of_an_option(problem: Finding) -> Finding:
    """The same problem, told of the option it came from: there is no file, and no line of one."""
    name = str(problem.arguments.get("name", ""))
    for begin, option in _OPTIONS.items():
        if name.startswith(begin):
            told = {**problem.arguments, "name": option}
            return replace(problem, arguments=told, line=None)
    return replace(problem, line=None)


def _warmth(
    readings: Sequence[str], animals: Sequence[str], own: Sequence[OwnAnimal] = ()
) -> float:
    """What was read, else what all animals like: nobody told of water too cold or too warm."""
    for text in readings:
        found = _TEMPERATURE.match(text.strip())
        if found:
            with suppress(UnitError):  # what is no figure is told with the readings
                told = parse_temperature_c(f"{found['value']} deg{(found['unit'] or 'C').upper()}")
                return round(told, 2)
    low, high = 0.0, 40.0
    for text in animals:
        stock = _STOCK.match(text)
        liked = animal_needs(stock["species"], own).values.get("temperature") if stock else None
        if liked is not None and liked.low is not None and liked.high is not None:
            low, high = max(low, liked.low), min(high, liked.high)
    return USUAL_C if (low, high) == (0.0, 40.0) else round(0.5 * (low + high), 1)


def _stock(text: str, at: str, problems: list[Finding]) -> list[str]:
    found = _STOCK.match(text)
    if found is None:
        problems.append(Finding("quick-animals", "problem", {"text": repr(text)}))
        return []
    lines = ["[[event]]", f"at = {at}", 'kind = "animals-in"', f"count = {found['count']}"]
    lines.append(f"species = {json.dumps(found['species'].strip())}")
    if found["length"]:
        lines.append(f"length = {json.dumps(found['length'])}")
    return lines


def _reading(text: str, now: datetime, problems: list[Finding]) -> list[str]:
    name, _, value = text.strip().replace("=", " ", 1).partition(" ")
    value = value.strip()
    if not value or _NAMELESS.match(text.strip()):
        problems.append(Finding("quick-reading", "problem", {"text": repr(text)}))
        return []
    quantity = name.lower() if name.lower() in QUANTITY_UNITS else name
    if _BARE.match(value) and quantity not in _PLAIN:
        meant = nearest(quantity, QUANTITY_UNITS) or quantity
        value = f"{value} {_UNITS.get(meant, 'mg/L')}"
    at = now.replace(microsecond=0, tzinfo=None).isoformat()
    return [
        "[[reading]]",
        f"at = {at}",
        f"quantity = {json.dumps(quantity)}",
        f"value = {json.dumps(value)}",
    ]


def _assumed(
    volume: str | None,
    days: int | None,
    animals: Sequence[str],
    readings: Sequence[str],
    own: Sequence[OwnAnimal],
) -> tuple[Finding, ...]:
    found = []
    if volume is None:
        found.append(Finding("quick-volume", "caution", {"volume": ASSUMED_VOLUME}))
    if not any(_TEMPERATURE.match(text.strip()) for text in readings):
        told = {"temperature_c": _warmth(readings, animals, own)}
        found.append(Finding("quick-warmth", "caution", told))
    if days is None:
        found.append(Finding("quick-days", "caution", {"days": ASSUMED_DAYS}))
    if not animals:
        found.append(Finding("quick-no-animals", "caution", {}))
    return tuple(found)
