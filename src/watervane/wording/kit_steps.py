"""What a kit can show, as plain text in the unit and on the basis it is printed in."""

from __future__ import annotations

from watervane.records import KitScale, ReadingValue
from watervane.units import format_reading
from watervane.wording.shown import both_bases
from watervane.wording.tables import QUANTITY_NAMES
from watervane.wording.templates import phrase

WITH_BASES = ("ammonia", "nitrite", "nitrate")


def step_words(scale: KitScale) -> tuple[str, ...]:
    """The steps of a scale, the lowest first; each reads back as that step."""
    return tuple(
        format_reading(ReadingValue("exact", step, step, scale.basis), scale.quantity)
        for step in scale.steps
    )


def bare_steps(scale: KitScale) -> tuple[tuple[str, ...], str]:
    """The steps without their unit, and the unit that all of them are told in."""
    words = step_words(scale)
    unit = words[0].partition(" ")[2] if words else ""
    if any(each.partition(" ")[2] != unit for each in words):
        return words, ""
    return tuple(each.partition(" ")[0] for each in words), unit


def quantity_title(quantity: str) -> str:
    """A quantity at the head of a field: ``Ammonia``, ``KH``."""
    name = QUANTITY_NAMES.get(quantity, quantity)
    return name if name != quantity else name.capitalize()


def basis_hint(quantity: str) -> str:
    """The same water on both bases."""
    return phrase("form-readings-basis-hint", both=both_bases(quantity, 1.0, "n"))
