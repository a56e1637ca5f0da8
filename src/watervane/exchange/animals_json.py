"""Animals of the catalogue as a document, ``watervane-animals/1``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from watervane.exchange.figures import short
from watervane.reference import CatalogueAnimal, sources
from watervane.reference.catalogue_words import UNKNOWN
from watervane.units import Span

ANIMALS_FORMAT = "watervane-animals/1"


def animals_document(found: Sequence[tuple[CatalogueAnimal, str]]) -> dict[str, Any]:
    """Animals with all that is known of each; what is not known is null.

    ``fit`` tells how the water that was asked for suits: ``good``, ``edge`` or ``unknown``.
    """
    return {
        "format": ANIMALS_FORMAT,
        "animals": [{**animal_document(animal), "fit": fit} for animal, fit in found],
    }


def animal_document(animal: CatalogueAnimal) -> dict[str, Any]:
    """One animal as a plain dictionary; its fields are those of the record."""
    document = {field.name: _plain(getattr(animal, field.name)) for field in fields(animal)}
    mass = animal.adult_mass_g
    document["adult_mass_g"] = None if mass is None else short(mass)
    known = sources().get(animal.source)
    document["citation"] = None if known is None else known.citation
    return document


def _plain(value: object) -> Any:
    if isinstance(value, Span):
        return {"low": value.low, "high": value.high}
    if isinstance(value, tuple):
        return list(value)
    return None if value == UNKNOWN else value
