"""What is doubtful about animals told of: a name no table knows, too many, too long, none left."""

from __future__ import annotations

from watervane.records import NAMELESS_FISH, AnimalsIn, AnimalsOut, Died, Finding, Tank
from watervane.reference import UnknownAnimalError, animal_form, find_animal, nearest_names

PER_LITRE = 5.0  # shrimps of a breeder's tank are fewer, house estimate
TOO_LONG = 1.5  # times the longest the catalogue knows


def animals_doubts(
    moved: AnimalsIn | AnimalsOut | Died, tank: Tank, litres: float | None
) -> list[Finding]:
    """What to ask about animals that came, left or died.

    Parameters
    ----------
    moved
        What is told.
    tank
        With its log, where those that left or died are to be among those that came.
    litres
        Water of the tank, if it is known. [L]
    """
    name = moved.species
    if not isinstance(moved, AnimalsIn):
        return _of_leaving(moved, tank)
    found = []
    if name not in ("", NAMELESS_FISH) and animal_form(name, tank.own_animals).matched == "none":
        near = nearest_names(name, count=1)
        key = "doubt-animal-near" if near else "doubt-animal"
        found.append(_ask(key, field="species", told=name, near=near[0] if near else ""))
    if moved.length_cm is not None:
        found += _of_length(name, moved.length_cm)
    if litres is not None and moved.count > max(PER_LITRE * litres, 20.0):
        told = {"count": moved.count, "litres": f"{litres:.3g}"}
        found.append(_ask("doubt-count", field="count", **told))
    return found


def _of_length(name: str, length_cm: float) -> list[Finding]:
    try:
        longest = find_animal(name).adult_length_cm
    except UnknownAnimalError:
        return []
    if longest is None or length_cm <= TOO_LONG * longest.high:
        return []
    told = {"told": f"{length_cm:g}", "longest": f"{longest.high:g}", "name": name}
    return [_ask("doubt-length", field="length", **told)]


def _of_leaving(moved: AnimalsOut | Died, tank: Tank) -> list[Finding]:
    """More than the log says are there; nothing is asked where it tells of no arrival."""
    here: dict[str, int] = {}
    for each in sorted(tank.events, key=lambda event: event.at):
        if isinstance(each, AnimalsIn):
            here[_plain(each.species)] = here.get(_plain(each.species), 0) + each.count
        elif isinstance(each, AnimalsOut | Died):
            left = here.get(_plain(each.species), 0) - each.count
            here[_plain(each.species)] = max(left, 0)
    if not here:
        return []
    there = here.get(_plain(moved.species))
    if there is None:
        known = [each.species for each in tank.events if isinstance(each, AnimalsIn)]
        told = {"told": moved.species, "known": list(dict.fromkeys(known))}
        return [_ask("doubt-not-here", field="species", **told)]
    if moved.count > there:
        numbers = {"count": moved.count, "there": there}
        return [_ask("doubt-fewer-here", field="count", species=moved.species, **numbers)]
    return []


def _plain(name: str) -> str:
    """One animal under any of its names."""
    try:
        return find_animal(name).scientific_name.casefold()
    except UnknownAnimalError:
        return name.strip().casefold()


def _ask(key: str, **told: object) -> Finding:
    return Finding(key, "caution", told)
