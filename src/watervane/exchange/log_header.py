"""What the texts of a log's header tell about the tank."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from watervane.records import Bed, Reading, SourceWater
from watervane.units import UnitError, parse_temperature_c

SEA_SALT_G_PER_KG = 35.0  # common practice, no source
BRACKISH_G_PER_KG = 8.0  # common practice, no source
BEDS = ("coral sand", "limestone", "soil", "gravel", "sand")
KEPT = (
    *("water", "mode", "seeded", "ammonia_source", "dosing", "water_changes", "feeding"),
    *("plants", "temperature", "ph", "kh", "doubts"),
)

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_TEMPERATURE = re.compile(rf"(?P<low>{_NUMBER})(?: ?- ?(?P<high>{_NUMBER}))? ?(?P<unit>[CF])\b")
_TAP_PH = re.compile(rf"tap (?P<after>{_NUMBER})|(?P<before>{_NUMBER}) tap")
_STRENGTH = re.compile(rf"({_NUMBER}) ?%")
_DAYS = re.compile(r"\bdays? (?P<first>[0-9]+)(?:(?:, | and )(?P<second>[0-9]+))?")


def _text(header: dict[str, Any], key: str) -> str:
    told = header.get(key, "")
    return told if isinstance(told, str) else ""


def kept_notes(header: dict[str, Any]) -> str:
    """The header's texts that no field of a tank holds, one a line."""
    told = ((key, " ".join(_text(header, key).split())) for key in KEPT)
    return "\n".join(f"{key}: {text}" for key, text in told if text)


def ammonia_of(header: dict[str, Any]) -> str:
    """The substance ammonia was dosed with."""
    text = " ".join(_text(header, key) for key in ("ammonia_source", "dosing")).lower()
    if "chloride" in text:
        return "ammonium chloride"
    strength = _STRENGTH.search(text)
    if strength is None or not 0.0 < float(strength[1]) <= 35.0:
        return "ammonia solution"
    return f"ammonia solution {float(strength[1]):g} %"


def temperature_c_of(header: dict[str, Any]) -> float | None:
    """The temperature the header tells, the middle of a range. [degC]"""
    match = _TEMPERATURE.search(_text(header, "temperature"))
    if match is None:
        return None
    unit = f"deg{match['unit']}"
    bounds = [match["low"], match["high"] or match["low"]]
    try:
        low, high = (parse_temperature_c(f"{bound} {unit}") for bound in bounds)
    except UnitError:
        return None
    return round(0.5 * (low + high), 2)


def plants_of(header: dict[str, Any]) -> str:
    """``none``, ``few`` or ``many``."""
    text = _text(header, "plants").lower()
    if not text or text.startswith(("no", "not ")):
        return "none"
    return "many" if re.search(r"many|heav|dens", text) else "few"


def bed_of(header: dict[str, Any]) -> Bed | None:
    """The bed the title or the set-up texts name."""
    for key in ("title", "volume", "seeded"):
        text = _text(header, key).lower()
        found = next((material for material in BEDS if material in text), None)
        if found is not None and not (key == "seeded" and text.startswith("yes")):
            return Bed(found)
    return None


def is_fish_in(header: dict[str, Any]) -> bool:
    """Whether animals were in during the start."""
    return _text(header, "mode").lower().startswith("fish-in")


def seed_source(text: str) -> str | None:
    """What a text on seeding says was brought in."""
    plain = text.lower()
    for word, source in (
        *(("bottle", "bottle"), ("gravel", "bed"), ("sand", "bed"), ("filter", "media")),
        *(("media", "media"), ("sponge", "media"), ("wood", "decor"), ("rock", "decor")),
    ):
        if word in plain:
            return source
    return None


def seeding_of(header: dict[str, Any]) -> Iterator[tuple[str, int | None]]:
    """Seedings the header tells of: source, and day of the count or ``None`` (the first)."""
    text = _text(header, "seeded").lower()
    if text.startswith("bottle"):
        yield "bottle", _first_day(text)
    elif text.startswith("yes"):
        source = seed_source(text) or "media"
        days: list[int | None] = [
            int(d) for m in _DAYS.finditer(text) for d in m.groups() if d is not None
        ]
        for day in days or [None]:
            yield source, day


def _first_day(text: str) -> int | None:
    match = _DAYS.search(text)
    return int(match["first"]) if match else None


def source_water_of(
    header: dict[str, Any], readings: list[Reading], marine: Callable[[str], None]
) -> SourceWater:
    """Tap water as far as header and readings tell it; salt water is reported."""
    ph = next((r.value.low for r in readings if r.of_source_water and r.quantity == "ph"), None)
    match = _TAP_PH.search(_text(header, "ph").lower())
    if ph is None and match is not None:
        ph = float(match["after"] or match["before"])
    water = _text(header, "water").lower()
    salt = 0.0
    if water.startswith(("marine", "salt", "reef")):
        salt = SEA_SALT_G_PER_KG
    elif water.startswith("brackish"):
        salt = BRACKISH_G_PER_KG
    if salt:
        marine(water)
    told = ph if ph is not None and 3.0 <= ph <= 11.0 else None
    return SourceWater(ph=told, salinity_g_per_kg=salt)
