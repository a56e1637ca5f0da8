"""Finding an animal of the catalogue by its name, and what comes nearest to an unknown one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from functools import cache

from watervane.reference.catalogue_animal import CatalogueAnimal
from watervane.reference.catalogue_shipped import catalogue
from watervane.reference.names import UnknownNameError, plain_name, singular

SOMEWHAT_LIKE = 0.6  # of one, as `difflib` measures it: an offer, never a replacement


class UnknownAnimalError(UnknownNameError):
    """A name the catalogue does not know; ``nearest`` are the names to offer, best first."""

    def __init__(self, name: str, nearest: tuple[str, ...]) -> None:
        super().__init__("animal", name, nearest)
        self.nearest = nearest
        hint = " or ".join(f"'{near}'" for near in nearest) or "its scientific name"
        self.args = (f"'{name[:40]}' is no known animal; did you mean {hint}?",)


def find_animal(name: str, own: Sequence[CatalogueAnimal] = ()) -> CatalogueAnimal:
    """The animal of a name, scientific or common, singular or plural.

    Parameters
    ----------
    name : str
        As a keeper writes it.
    own : sequence of CatalogueAnimal
        Rows of the keeper's; they shadow ours.

    Raises
    ------
    UnknownAnimalError
        With the nearest names, where no row has that name.
    """
    wanted = plain_name(name)
    for table in (_by_name(tuple(own)), shipped_names()):
        for candidate in (wanted, singular(wanted)):
            if candidate in table:
                return table[candidate]
    raise UnknownAnimalError(name, nearest_names(name, own))


def nearest_names(
    name: str, own: Sequence[CatalogueAnimal] = (), count: int = 3
) -> tuple[str, ...]:
    """Names of the catalogue most like one it does not know, best first; may be none.

    A name that shares a whole word comes after those much alike as a whole.
    """
    wanted = singular(plain_name(name))
    known = {**shipped_names(), **_by_name(tuple(own))}
    close = difflib.get_close_matches(wanted, known, n=count, cutoff=SOMEWHAT_LIKE)
    words = set(wanted.split())
    sharing = [other for other in known if words & set(other.split()) and other not in close]
    sharing.sort(key=lambda other: -difflib.SequenceMatcher(None, wanted, other).ratio())
    animals = dict.fromkeys(known[near].scientific_name for near in (*close, *sharing))
    best = {known[near].scientific_name: near for near in reversed((*close, *sharing))}
    return tuple(_as_written(known[best[animal]], best[animal]) for animal in animals)[:count]


@cache
def shipped_names() -> dict[str, CatalogueAnimal]:
    """Our rows by every name they have, in plain spelling."""
    return _by_name(catalogue())


def shadowed(
    shipped: Iterable[CatalogueAnimal], own: Sequence[CatalogueAnimal]
) -> tuple[CatalogueAnimal, ...]:
    """All rows, a keeper's in the place of ours of the same scientific name."""
    mine = {plain_name(animal.scientific_name) for animal in own}
    kept = (animal for animal in shipped if plain_name(animal.scientific_name) not in mine)
    return (*own, *kept)


@cache
def _by_name(animals: tuple[CatalogueAnimal, ...]) -> dict[str, CatalogueAnimal]:
    table: dict[str, CatalogueAnimal] = {}
    for animal in animals:  # scientific names first: none of them is another's trade name
        table.setdefault(plain_name(animal.scientific_name), animal)
    for animal in animals:
        for name in animal.common_names:
            table.setdefault(plain_name(name), animal)
            table.setdefault(singular(plain_name(name)), animal)
    return table


def _as_written(animal: CatalogueAnimal, plain: str) -> str:
    for name in animal.names:
        if plain in (plain_name(name), singular(plain_name(name))):
            return name
    return animal.scientific_name
