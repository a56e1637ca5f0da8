"""Look an animal up in the catalogue, or list those that suit a water."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import BadInput, Ports
from watervane.records import Finding, OwnAnimal, Person
from watervane.reference import (
    AnimalsWanted,
    CatalogueAnimal,
    UnknownAnimalError,
    catalogue,
    find_animal,
    fit,
    own_catalogued,
    shadowed,
)

Own = Path | Sequence[OwnAnimal] | None


@dataclass(frozen=True, slots=True)
class AnimalsFound:
    """Animals with how the water wanted suits them, best first, and what the reader remarked."""

    animals: tuple[tuple[CatalogueAnimal, str], ...]
    wanted: AnimalsWanted
    findings: tuple[Finding, ...] = ()


def list_animals(
    _actor: Person, kind: str | None, water: Sequence[str], own: Own, ports: Ports
) -> AnimalsFound:
    """Every animal of a kind that a water suits, or may suit as its range is not known.

    Parameters
    ----------
    _actor
        On whose behalf; whoever asks may look.
    kind
        ``fish``, ``shrimp``, ``snail`` or ``amphibian``; all where left out.
    water
        A quantity each, in the keeper's words.
    own
        A table of the keeper's own, or the rows of a tank of theirs.
    ports
        The outside parts.

    Raises
    ------
    BadInput
        With every word that cannot be read.
    """
    wanted = ports.animals.read_wanted(kind, water)
    rows, remarks = own_rows(own, ports)
    fits = [(animal, fit(animal, wanted)) for animal in shadowed(catalogue(), rows)]
    found = [each for each in fits if each[1] != "outside"]
    return AnimalsFound(tuple(found), wanted, remarks)


def show_animal(_actor: Person, name: str, own: Own, ports: Ports) -> AnimalsFound:
    """All that is known of one animal.

    Parameters
    ----------
    _actor
        On whose behalf; whoever asks may look.
    name
        Scientific or common.
    own
        A table of the keeper's own, or the rows of a tank of theirs.
    ports
        The outside parts.

    Raises
    ------
    BadInput
        With the nearest names, where nobody has that name.
    """
    rows, remarks = own_rows(own, ports)
    try:
        animal = find_animal(name, rows)
    except UnknownAnimalError as error:
        told = {"name": name[:60], "near": list(error.nearest)}
        key = "animal-unknown-near" if error.nearest else "animal-unknown"
        raise BadInput([Finding(key, "problem", told)]) from error
    return AnimalsFound(((animal, "good"),), AnimalsWanted(), remarks)


def animal_names(own: Sequence[OwnAnimal] = (), present: Iterable[str] = ()) -> tuple[str, ...]:
    """A name to suggest of each animal: those present first, then the keeper's own, then ours."""
    names = [*present, *(row.name for row in own)]
    names += sorted((a.common_names or (a.scientific_name,))[0] for a in catalogue())
    return tuple(dict.fromkeys(names))


def own_rows(own: Own, ports: Ports) -> tuple[tuple[CatalogueAnimal, ...], tuple[Finding, ...]]:
    """The keeper's own animals as the catalogue has them, and what their table's reader remarked.

    Parameters
    ----------
    own
        A table, or the rows of a tank of theirs.
    ports
        The outside parts.
    """
    if own is None:
        return (), ()
    return ports.animals.read_own(own) if isinstance(own, Path) else (own_catalogued(own), ())
