"""From a keeper's words to a water's report, what it may be mixed with, and the ranges wanted."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from watervane.exchange.blueprint_words import middle
from watervane.exchange.problems import nearest
from watervane.exchange.water_file import read_water_file
from watervane.exchange.word_reader import WordReader, Words
from watervane.records import Finding, WaterReport, WaterTarget
from watervane.reference import UnknownNameError, substance
from watervane.units import (
    conversions,
    parse_altitude_m,
    parse_concentration,
    parse_hardness_dgh,
    parse_hardness_dkh,
    parse_mass_g,
    parse_reading,
    parse_temperature_c,
    parse_volume_l,
)

_MG = re.compile(
    r"^\s*(?P<under><)?\s*(?P<value>\d+(?:[.,]\d+)?)\s*"
    r"(?P<unit>mg/l|ug/l|g/l|mmol/l|ppm)?\s*$",
    re.IGNORECASE,
)
_MASSES = {
    "calcium": conversions.CALCIUM,
    "magnesium": conversions.MAGNESIUM,
    "sodium": conversions.SODIUM,
    "potassium": conversions.POTASSIUM,
    "sulfate": conversions.SULFUR + 4 * conversions.OXYGEN,
}
_SPELT = {
    "sulphate": "sulfate",
    "alkalinity": "kh",
    "hardness": "gh",
    "hydrogencarbonate": "bicarbonate",
}
_RANGE = re.compile(
    r"^\s*(?P<name>[a-z]+)[\s=]+(?:(?P<low>\d+(?:[.,]\d+)?)\s*(?:\.\.|to)\s*)?(?P<under><)?\s*"
    r"(?P<high>\d+(?:[.,]\d+)?)\s*(?P<unit>.*?)\s*$",
    re.IGNORECASE,
)
RANGED = (
    *("gh", "kh", "ph", "sodium", "potassium", "chloride", "sulfate", "calcium", "magnesium"),
    "nitrate",
)
_FLAGS = {"reverse osmosis": "membrane", "rain": "rain"}
SALT_NAMES = (
    "sodium-bicarbonate",
    "potassium-bicarbonate",
    "calcium-chloride-dihydrate",
    "calcium-sulfate-dihydrate",
    "magnesium-sulfate-heptahydrate",
    "sodium-chloride",
)


def read_report_words(
    reader: WordReader, name: str, texts: tuple[str, ...], lines: tuple[int, ...] = ()
) -> WaterReport:
    """A report, one quantity a text: ``calcium 82 mg/L``, ``kh 5 dKH``, ``ph 7.6``.

    Parameters
    ----------
    reader
        Collects what cannot be read.
    name
        Of the water.
    texts
        As written; of two of one quantity the later counts.
    lines
        Of a file, for the first texts.
    """
    fields: dict[str, float] = {}
    for index, text in enumerate(texts):
        before = len(reader.problems)
        word, _, value = text.strip().replace("=", " ", 1).partition(" ")
        quantity = _SPELT.get(word.lower(), word.lower())
        told = _level(reader, quantity, value.strip(), text)
        if told is not None:
            fields[told[0]] = told[1]
        elif index < len(lines):
            found = reader.problems[before:]
            reader.problems[before:] = [replace(each, line=lines[index]) for each in found]
    return WaterReport(name, **fields)


def _level(reader: WordReader, quantity: str, value: str, text: str) -> tuple[str, float] | None:
    option = "tap"
    if quantity in _MASSES:
        level = _milligrams(reader, quantity, value, text)
        return None if level is None else (f"{quantity}_mg_per_l", level)
    if quantity == "bicarbonate":
        level = _milligrams(reader, quantity, value, text)
        return None if level is None else ("kh_dkh", level / conversions.MG_HCO3_PER_DKH)
    simple: dict[str, tuple[str, Callable[[str], float]]] = {
        "kh": ("kh_dkh", parse_hardness_dkh),
        "gh": ("gh_dgh", parse_hardness_dgh),
    }
    dissolved = {
        "nitrate": "nitrate_mg_n_per_l",
        "ammonia": "ammonia_mg_n_per_l",
        "chloride": "chloride_mg_per_l",
        "chlorine": "chlorine_mg_per_l",
        "ph": "ph",
        "conductivity": "conductivity_us_per_cm",
    }
    if quantity in simple:
        field, parse = simple[quantity]
        found = reader.parsed(option, value, parse, quantity)
    elif quantity == "chloramine":
        field = "chloramine_mg_per_l"
        found = reader.parsed(
            option, value, lambda t: middle(parse_concentration(t, "chlorine")), quantity
        )
    elif quantity in dissolved:
        field = dissolved[quantity]
        found = reader.parsed(option, value, lambda t: middle(parse_reading(t, quantity)), quantity)
    else:
        known = (*_MASSES, "bicarbonate", *simple, *dissolved, "chloramine")
        told = {"text": text, "known": list(known), "near": nearest(quantity, known) or ""}
        reader.problems.append(Finding("water-words", "problem", told))
        return None
    return None if found is None else (field, found)


def _milligrams(reader: WordReader, quantity: str, value: str, text: str) -> float | None:
    found = _MG.match(value)
    if found is None:
        reader.refuse("water-level", "tap", text, quantity)
        return None
    number = float(found["value"].replace(",", "."))
    number *= 0.5 if found["under"] else 1.0  # as `middle` has it
    unit = (found["unit"] or "mg/l").lower()
    moles = _MASSES.get(quantity, conversions.BICARBONATE)
    return number * {"mg/l": 1.0, "ppm": 1.0, "ug/l": 1e-3, "g/l": 1e3, "mmol/l": moles}[unit]


def read_target_words(reader: WordReader) -> WaterTarget:
    """Ranges wanted, batch and scale.

    Parameters
    ----------
    reader
        With the options of ``watervane source-water``.
    """
    ranges: dict[str, tuple[float, float]] = {}
    for text in reader.texts("want"):
        told = _range(reader, text)
        if told is not None:
            ranges[told[0]] = told[1]
    plain: tuple[tuple[str, str, Callable[[str], float]], ...] = (
        ("temperature", "temperature_c", parse_temperature_c),
        ("bucket", "batch_l", parse_volume_l),
        ("scale", "scale_g", parse_mass_g),
        ("altitude", "altitude_m", parse_altitude_m),
    )
    fields: dict[str, Any] = {}
    for name, field, parse in plain:
        value = reader.read(name, parse)
        if value is not None and value <= 0.0 and field in ("batch_l", "scale_g"):
            reader.refuse("water-level", name, reader.text(name) or "")
        elif value is not None:
            fields[field] = value
    hour = reader.text("hour-worth")
    if hour is not None:
        fields["price_per_hour"] = _number(reader, "hour-worth", hour)
    return WaterTarget(ranges, **fields)


def _number(reader: WordReader, name: str, text: str) -> float:
    try:
        return max(float(text.replace(",", ".")), 0.0)
    except ValueError:
        reader.refuse("blueprint-number", name, text)
        return 0.0


def _range(reader: WordReader, text: str) -> tuple[str, tuple[float, float]] | None:
    found = _RANGE.match(text)
    name = "" if found is None else _SPELT.get(found["name"].lower(), found["name"].lower())
    if found is None or name not in RANGED:
        told = {"text": text, "known": list(RANGED), "near": nearest(name, RANGED) or ""}
        reader.problems.append(Finding("water-want", "problem", told))
        return None
    unit = found["unit"]
    high = _canonical(reader, name, found["high"], unit)
    low = _canonical(reader, name, found["low"] or "0", unit) if found["low"] else 0.0
    if high is None or low is None:
        return None
    if low > high:
        reader.refuse("water-want-reversed", "want", text, name)
        return None
    return name, (low, high)


def _canonical(reader: WordReader, name: str, value: str, unit: str) -> float | None:
    if name == "gh":
        return reader.parsed("want", f"{value} {unit or 'dGH'}", parse_hardness_dgh, name)
    if name == "kh":
        return reader.parsed("want", f"{value} {unit or 'dKH'}", parse_hardness_dkh, name)
    if name == "nitrate":
        text = f"{value} {unit or 'mg/L'}"
        return reader.parsed(
            "want", text, lambda t: middle(parse_concentration(t, "nitrate")), name
        )
    if name == "ph":
        return reader.parsed("want", value, lambda t: middle(parse_reading(t, "ph")), name)
    return _milligrams(reader, name, f"{value} {unit or 'mg/L'}", value)


@dataclass(frozen=True, slots=True)
class WaterWords:
    """A report, what may be mixed with it, and the ranges wanted; salts empty: the usual ones."""

    report: WaterReport
    waters: tuple[str, ...]
    salts: tuple[str, ...]
    rain: WaterReport | None
    target: WaterTarget


def read_water_words(words: Words) -> WaterWords:
    """Read the options of ``watervane source-water``.

    Parameters
    ----------
    words
        By option.

    Raises
    ------
    TankFileErrors
        With every word that cannot be read.
    """
    reader = WordReader(words)
    file = reader.text("from")
    told = () if file is None else read_water_file(Path(file))
    texts = (*(text for text, _ in told), *reader.texts("tap"))
    if not texts:
        reader.problems.append(Finding("water-nothing", "problem", {}))
    report = read_report_words(reader, "tap", texts, tuple(line for _, line in told))
    waters = tuple(name for name, flag in _FLAGS.items() if reader.flag(flag))
    rain_told = reader.texts("rain-report")
    rain = read_report_words(reader, "rain", rain_told) if rain_told else None
    salts = tuple(_salt(reader, text) for text in reader.texts("salt"))
    target = read_target_words(reader)
    reader.end()
    return WaterWords(report, waters, salts, rain, target)


def _salt(reader: WordReader, text: str) -> str:
    """A salt by any name keepers have for it."""
    wanted = text.strip()
    try:
        found = substance(wanted).name.replace(" ", "-")
    except UnknownNameError:
        found = ""
    if found not in SALT_NAMES:
        told = {"text": text, "known": [name.replace("-", " ") for name in SALT_NAMES]}
        reader.problems.append(Finding("water-salt", "problem", told))
    return found
