"""The real parts of the catalogue of animals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from watervane.app import BadInput
from watervane.app.animal_ports import AnimalPorts
from watervane.records import Finding
from watervane.reference import AnimalsWanted, CatalogueAnimal


def animal_ports() -> AnimalPorts:
    """The parts a real run looks animals up with."""
    return AnimalPorts(read_own=_read_own, read_wanted=_read_wanted, document=_document, row=_row)


def _read_own(file: Path) -> tuple[tuple[CatalogueAnimal, ...], tuple[Finding, ...]]:
    from watervane.exchange import TankFileErrors, own_animals

    try:
        return own_animals.read_own_animals(file)
    except TankFileErrors as error:
        raise BadInput(error.problems, str(file)) from error


def _read_wanted(kind: str | None, water: Sequence[str]) -> AnimalsWanted:
    from watervane.exchange import TankFileErrors, animal_words

    try:
        return animal_words.read_animal_words(kind, water)
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _document(found: Sequence[tuple[CatalogueAnimal, str]]) -> Mapping[str, Any]:
    from watervane.exchange import animals_json

    return animals_json.animals_document(found)


def _row(animal: CatalogueAnimal) -> str:
    from watervane.exchange import own_animals

    return own_animals.own_row_text(animal)
