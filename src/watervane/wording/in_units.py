"""Sentences in the units their reader thinks in: gallons, Fahrenheit, mg/L of CaCO3.

The catalogue is written in litres, degrees Celsius and German degrees. What is said on a page is
told in other units where its reader asked for them; a number keeps about as many digits as it had.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields

from watervane.units.conversions import (
    L_PER_IMPERIAL_GALLON,
    L_PER_US_GALLON,
    MEQ_PER_L_PER_DKH,
    MG_CACO3_PER_DEGREE,
)

CHOICES = {
    "volume": ("litre", "us", "imperial"),
    "warmth": ("celsius", "fahrenheit"),
    "hardness": ("degree", "caco3", "meq"),
    "nitrogen": ("usual", "n", "ion"),
}


@dataclass(frozen=True, slots=True)
class Units:
    """What a reader wants to read; each is one of `CHOICES`."""

    volume: str = "litre"
    warmth: str = "celsius"
    hardness: str = "degree"
    nitrogen: str = "usual"

    def text(self) -> str:
        """As one word, that `units_of` reads."""
        return ".".join(getattr(self, each.name) for each in fields(self))


USUAL = Units()
_CURRENT: ContextVar[Units] = ContextVar("units of the reader", default=USUAL)

_NUMBER = r"\u2212?\d[\d,]*(?:\.\d+)?"
# Two numbers may share a unit: 24 to 26 °C.
_SHARED = rf"(?:(?P<low>{_NUMBER})(?P<between> to | and |\.\.))?(?P<high>{_NUMBER})"
_GAP = "[ \N{NO-BREAK SPACE}]"
_WARMTH = re.compile(rf"(?<![\d.]){_SHARED}{_GAP}\u00b0C\b(?=(?P<after>[^.;:]{{0,16}}))")
_VOLUME = re.compile(rf"(?<![\d.]){_SHARED}{_GAP}L\b(?!/)")
_HARDNESS = re.compile(rf"(?<![\d.]){_SHARED}{_GAP}(?P<unit>dKH|dGH)\b")
# How a difference of warmth is told, before the number and after its unit.
_BY = re.compile(r"(?:\bby(?: no more than| at most| about)?|\bFish bear) $")
_APART = re.compile(
    r" (?:an hour|within an hour|warmer|cooler|colder|of each other|may kill|apart)"
)
_LITRES = {
    "us": (1 / L_PER_US_GALLON, "US gal"),
    "imperial": (1 / L_PER_IMPERIAL_GALLON, "imp gal"),
}
_DEGREES = {"caco3": (MG_CACO3_PER_DEGREE, "mg/L as CaCO3"), "meq": (MEQ_PER_L_PER_DKH, "meq/L")}


def units_of(text: str) -> Units:
    """The units that `Units.text` told; whatever is unknown is as usual."""
    told = dict(zip(CHOICES, text.split("."), strict=False))
    return Units(**{name: told[name] for name, known in CHOICES.items() if told.get(name) in known})


def current_units() -> Units:
    """Those of the reader for whom sentences are made just now."""
    return _CURRENT.get()


@contextmanager
def reader_units(units: Units) -> Iterator[None]:
    """Sentences made in the block are told in these units."""
    before = _CURRENT.set(units)
    try:
        yield
    finally:
        _CURRENT.reset(before)


def told_in_units(sentence: str, units: Units | None = None) -> str:
    """A sentence in the units of its reader; told again in the same ones it stays as it is."""
    wanted = units or _CURRENT.get()
    if wanted == USUAL:
        return sentence
    if wanted.warmth == "fahrenheit":
        sentence = _WARMTH.sub(_warmth, sentence)
    if wanted.volume in _LITRES:
        sentence = _VOLUME.sub(lambda told: _scaled(told, *_LITRES[wanted.volume]), sentence)
    if wanted.hardness in _DEGREES:
        sentence = _HARDNESS.sub(lambda told: _scaled(told, *_DEGREES[wanted.hardness]), sentence)
    return sentence


def asked_unit(quantity: str, usual: str) -> str:
    """The unit a bare number of a quantity is typed in by the reader, as a reading tells it."""
    units = _CURRENT.get()
    if quantity == "temperature" and units.warmth == "fahrenheit":
        return "degF"
    if quantity == "volume" and units.volume in _LITRES:
        return _LITRES[units.volume][1]
    if quantity in ("kh", "gh") and units.hardness in _DEGREES:
        return _DEGREES[units.hardness][1]
    return usual


def _warmth(told: re.Match[str]) -> str:
    before = told.string[: told.start()]
    apart = _BY.search(before) or _APART.match(told["after"])
    shift = 0.0 if apart else 32.0
    numbers = [_as_many(each, _value(each) * 1.8 + shift) for each in _numbers(told)]
    return f"{(told['between'] or '').join(numbers)} \N{DEGREE SIGN}F"


def _scaled(told: re.Match[str], factor: float, unit: str) -> str:
    numbers = [_about(_value(each) * factor) for each in _numbers(told)]
    return f"{(told['between'] or '').join(numbers)} {unit}"


def _numbers(told: re.Match[str]) -> list[str]:
    return [each for each in (told["low"], told["high"]) if each]


def _value(text: str) -> float:
    return float(text.replace(",", "").replace("\N{MINUS SIGN}", "-"))


def _as_many(text: str, value: float) -> str:
    """With as many decimals as it was told with."""
    decimals = len(text.partition(".")[2])
    return f"{value:.{decimals}f}".replace("-", "\N{MINUS SIGN}")


def _about(value: float) -> str:
    """Two digits, of a hundred and more all before the point."""
    if value >= 100:
        return f"{value:,.0f}"
    told = f"{value:.2g}"
    return told if "e" not in told else f"{value:.4f}"
