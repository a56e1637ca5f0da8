"""From a keeper's words to a wish list: counts, names, weights, and the water changed a week."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from watervane.exchange.problems import shown
from watervane.exchange.word_reader import WordReader, Words
from watervane.records import AnimalWish, Finding
from watervane.reference import CatalogueAnimal, UnknownAnimalError, find_animal
from watervane.units import parse_temperature_c, parse_volume_l

_WISH = re.compile(
    r"^\s*(?:(?P<count>\d{1,4})\s+)?(?P<name>[^\d\s,][^,]*?)\s*"
    r"(?:,\s*weight\s+(?P<weight>\d+(?:[.]\d+)?))?\s*$"
)
_SHARE = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*%\s*$")


@dataclass(frozen=True, slots=True)
class ToldChoice:
    """A wish list as told; the change in litres or as a share of the water, at most one."""

    wishes: tuple[AnimalWish, ...]
    animals: Mapping[str, CatalogueAnimal]
    change_l: float | None
    change_share: float | None
    temperature_c: float | None


def read_choice_words(words: Words, own: Sequence[CatalogueAnimal] = ()) -> ToldChoice:
    """What is wished for.

    Parameters
    ----------
    words
        By option: ``wish``, ``change``, ``water``.
    own
        Rows of the keeper's own; they go before ours.

    Raises
    ------
    TankFileErrors
        With every wish that cannot be read, and every animal nobody knows with names near it.
    """
    reader = WordReader(words)
    animals: dict[str, CatalogueAnimal] = {}
    wishes = []
    for told in reader.texts("wish"):
        found = _wish(reader, told, own)
        if found is None:
            continue
        wish, animal = found
        if wish.species in animals:
            reader.problems.append(Finding("choose-twice", "problem", {"name": wish.species}))
        animals[wish.species] = animal
        wishes.append(wish)
    if not wishes and not reader.problems:
        reader.problems.append(Finding("choose-no-wish", "problem", {}))
    share = _share(reader)
    litres = None
    if share is None and reader.text("change") is not None:
        litres = reader.read("change", parse_volume_l)
    temperature = reader.read("water", parse_temperature_c)
    reader.end()
    return ToldChoice(tuple(wishes), animals, litres, share, temperature)


def _wish(
    reader: WordReader, told: str, own: Sequence[CatalogueAnimal]
) -> tuple[AnimalWish, CatalogueAnimal] | None:
    found = _WISH.match(told)
    weight = 1.0 if found is None or found["weight"] is None else float(found["weight"])
    if found is None or found["count"] == "0" or not 0.0 < weight <= 1000.0:
        reader.refuse("choose-wish-words", "wish", told)
        return None
    count = int(found["count"]) if found["count"] else None
    if count == 0:
        reader.refuse("choose-wish-words", "wish", told)
        return None
    try:
        animal = find_animal(found["name"], own)
    except UnknownAnimalError as error:
        key = "animal-unknown-near" if error.nearest else "animal-unknown"
        arguments = {"name": shown(found["name"]), "near": list(error.nearest)}
        reader.problems.append(Finding(key, "problem", arguments))
        return None
    return AnimalWish(animal.scientific_name, count, weight), animal


def _share(reader: WordReader) -> float | None:
    """``25 %`` of the water."""
    told = reader.text("change")
    found = None if told is None else _SHARE.match(told)
    if found is None:
        return None
    share = float(found[1].replace(",", ".")) / 100.0
    if not 0.0 <= share <= 1.0:
        reader.refuse("choose-change-words", "change", told or "")
        return None
    return share
