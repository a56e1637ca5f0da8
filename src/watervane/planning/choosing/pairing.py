"""What stands against two kinds in one tank, whatever the tank's water is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, permutations

from watervane.planning.choosing.fitting import range_of
from watervane.planning.choosing.scene import FLOOR, Scene
from watervane.records import Finding, PairReason
from watervane.reference import CatalogueAnimal

QUANTITIES = ("temperature", "ph", "gh", "kh")
# A deep body is swallowed later than a slender one of its length: house estimate.
DEEP_FACTOR = 1.5
DEEP = ("deep-bodied fish", "goldfish")


def pair_reasons(animals: Mapping[str, CatalogueAnimal], scene: Scene) -> tuple[PairReason, ...]:
    """All reasons, pair by pair.

    Parameters
    ----------
    animals
        By scientific name.
    scene
        With the floor.
    """
    return tuple(
        PairReason(one, other, reason)
        for one, other in combinations(animals, 2)
        for reason in between(animals[one], animals[other], scene)
    )


def between(one: CatalogueAnimal, other: CatalogueAnimal, scene: Scene) -> Iterator[Finding]:
    """Reasons against two kinds.

    Parameters
    ----------
    one, other
        Of the catalogue.
    scene
        With the floor.
    """
    yield from _apart(one, other)
    for strong, weak in permutations((one, other)):
        yield from _harm(strong, weak)
        yield from _alone(strong, weak)
    yield from _places(one, other, scene)


def _names(one: CatalogueAnimal, other: CatalogueAnimal) -> dict[str, object]:
    return {"one": one.scientific_name, "other": other.scientific_name}


def _apart(one: CatalogueAnimal, other: CatalogueAnimal) -> Iterator[Finding]:
    for quantity in QUANTITIES:
        ours, theirs = range_of(one, quantity), range_of(other, quantity)
        if ours is None or theirs is None:
            continue
        if ours.high < theirs.low or theirs.high < ours.low:
            told = {**_names(one, other), "quantity": quantity}
            told |= {"ours": ours, "theirs": theirs}
            yield Finding("choose-ranges-apart", "problem", told)


def _harm(strong: CatalogueAnimal, weak: CatalogueAnimal) -> Iterator[Finding]:
    told = _names(strong, weak)
    if swallows(strong, weak):
        reach = (strong.prey_share or 0.0) * (strong.typical_length_cm or 0.0)
        small = weak.adult_length_cm.low if weak.adult_length_cm else 0.0
        size = {"reach_cm": reach, "small_cm": small}
        yield Finding("choose-swallows", "problem", {**told, **size})
    if strong.nips_fins and weak.easily_nipped:
        yield Finding("choose-nips", "problem", told)
    if "hunts snails" in strong.welfare and weak.kind == "snail":
        yield Finding("choose-hunts-snails", "problem", told)


def swallows(strong: CatalogueAnimal, weak: CatalogueAnimal) -> bool:
    """Whether a grown animal takes a small full-grown one of the other kind; shells are no prey."""
    if not strong.prey_share or strong.typical_length_cm is None or weak.kind == "snail":
        return False
    if weak.adult_length_cm is None:
        return False
    girth = DEEP_FACTOR if weak.form in DEEP else 1.0
    return strong.prey_share * strong.typical_length_cm >= girth * weak.adult_length_cm.low


def _alone(strong: CatalogueAnimal, weak: CatalogueAnimal) -> Iterator[Finding]:
    if "kept alone" in strong.welfare:
        yield Finding("choose-kept-alone", "problem", _names(strong, weak))


def _places(one: CatalogueAnimal, other: CatalogueAnimal, scene: Scene) -> Iterator[Finding]:
    ours, theirs = one.territory_cm2 or 0.0, other.territory_cm2 or 0.0
    told = {**_names(one, other), "wanted_cm2": ours + theirs, "floor_cm2": scene.floor_cm2}
    if ours + theirs <= scene.floor_cm2 or not ours or not theirs:
        return
    if one.territory in FLOOR and other.territory in FLOOR:
        yield Finding("choose-both-bottom", "problem", told)
    elif "alike" in (one.territory, other.territory) and one.family == other.family:
        yield Finding("choose-alike", "problem", told)
