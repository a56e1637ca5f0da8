"""Layers of a bed from a keeper's words: ``gravel 3..5 cm 4 mm with 30 % sand 1 mm``."""

from __future__ import annotations

import re

from watervane.exchange.quantities import parse_length_mm
from watervane.exchange.word_reader import WordReader
from watervane.records import BedLayer, BlendedIn
from watervane.units import parse_length_cm

LEAST_BLENDED = 0.01  # of a layer, by mass: less is no blend
PEBBLE_MM = 16.0  # house estimate
GRAINS_MM = (0.01, 200.0)
_FIGURE = r"\d+(?:[.,]\d+)?"
_GRAIN = rf"(?:\s+(?P<grain>{_FIGURE}\s*mm))?"
_LAYER = re.compile(
    rf"^\s*(?P<material>[a-z ]+?)\s+(?P<front>{_FIGURE})(?:\s*\.\.\s*(?P<back>{_FIGURE}))?\s*"
    rf"(?P<unit>cm|mm|in){_GRAIN}\s*$",
    re.IGNORECASE,
)
_BLENDED = re.compile(
    rf"^\s*(?P<share>{_FIGURE})\s*%\s+(?:of\s+)?(?P<material>[a-z ]+?){_GRAIN}\s*$", re.IGNORECASE
)
_WITH = re.compile(r"\s+with\s+", re.IGNORECASE)


def read_layers(reader: WordReader) -> tuple[BedLayer, ...]:
    """Layers as told, the lowest first; what cannot be read is noted.

    Parameters
    ----------
    reader
        With texts of ``bed``.
    """
    return tuple(filter(None, (_layer(reader, text) for text in reader.texts("bed"))))


def _layer(reader: WordReader, told: str) -> BedLayer | None:
    laid, *other = _WITH.split(told, maxsplit=1)
    found = _LAYER.match(laid)
    if found is None:
        reader.refuse("blueprint-bed-words", "bed", told)
        return None
    blended = _blended(reader, other[0], told) if other else None
    if other and blended is None:
        return None
    unit = found["unit"]
    front = reader.parsed("bed", f"{found['front']} {unit}", parse_length_cm)
    back = reader.parsed("bed", f"{found['back'] or found['front']} {unit}", parse_length_cm)
    material, grain = _grains(reader, found)
    if front is None or back is None:
        return None
    return BedLayer(material, front, back, grain, blended)


def _blended(reader: WordReader, text: str, told: str) -> BlendedIn | None:
    """The second grain of a layer."""
    found = _BLENDED.match(text)
    if found is None:
        reader.refuse("blueprint-bed-words", "bed", told)
        return None
    share = float(found["share"].replace(",", ".")) / 100.0
    if not LEAST_BLENDED <= share <= 1.0 - LEAST_BLENDED:
        reader.refuse("blueprint-bed-share", "bed", told)
        return None
    material, grain = _grains(reader, found)
    return BlendedIn(material, share, grain)


def _grains(reader: WordReader, found: re.Match[str]) -> tuple[str, float | None]:
    """A material and its grain; pebbles are gravel of a large one."""
    name = " ".join(found["material"].lower().split())
    size = reader.parsed("bed", found["grain"], parse_length_mm) if found["grain"] else None
    if size is not None and not GRAINS_MM[0] <= size <= GRAINS_MM[1]:
        reader.refuse("blueprint-bed-grain", "bed", found.string)
    if name in ("pebble", "pebbles"):
        return "gravel", PEBBLE_MM if size is None else size
    return name, size
