"""Animals a plan is made for: the warmth that suits them all, and what stands against them there.

Where not all that are wished for can live in it, the plan is made for those of a choice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from watervane.planning.blueprint.shapes import CannotPlan
from watervane.planning.choosing.fitting import against_it, against_warmth, cautions_for, least_of
from watervane.planning.choosing.pairing import pair_reasons
from watervane.planning.choosing.scene import scene_of
from watervane.planning.choosing.standing import grid_c
from watervane.records import (
    AnimalWish,
    BlueprintWish,
    Choice,
    ChoiceWish,
    Finding,
    SharedWater,
    Wish,
)
from watervane.reference import (
    CatalogueAnimal,
    UnknownAnimalError,
    find_animal,
    own_catalogued,
)
from watervane.units import Span

OF_ROOMS = tuple(f"choose-no-{room}" for room in ("change", "oxygen", "filter", "flow", "floor"))
Kinds = dict[str, tuple[CatalogueAnimal, int]]


def kinds_of(wish: BlueprintWish) -> Kinds:
    """The animals of a plan that the catalogue, or the keeper's own rows, know, with their numbers.

    By scientific name, whatever name each was told by.
    """
    own = own_catalogued(wish.own_animals)
    found: Kinds = {}
    for each in wish.animals:
        try:
            animal = find_animal(each.species, own)
        except UnknownAnimalError:
            continue
        _, before = found.get(animal.scientific_name, (animal, 0))
        found[animal.scientific_name] = (animal, before + each.count)
    return found


def shared_range_c(wish: BlueprintWish) -> Span | None:
    """Temperatures that suit all of them; ``None`` where nobody knows, or none does. [degC]"""
    return shared_by(animal for animal, _ in kinds_of(wish).values())


def shared_by(animals: Iterable[CatalogueAnimal]) -> Span | None:
    """Temperatures that suit all of some animals; ``None`` where there are none. [degC]"""
    known = [animal.temperature_c for animal in animals]
    ranges = [each for each in known if each is not None]
    low = max((each.low for each in ranges), default=1.0)
    high = min((each.high for each in ranges), default=0.0)
    return Span(low, high) if low <= high else None


def their_warmth_c(wish: BlueprintWish) -> float | None:
    """The temperature farthest from the ends of all their ranges, as a choice has it. [degC]"""
    return middle_c(shared_range_c(wish))


def middle_c(shared: Span | None) -> float | None:
    """The temperature farthest from the ends of a range, of those a choice looks at. [degC]"""
    if shared is None:
        return None
    levels = [each for each in grid_c() if shared.low <= each <= shared.high]
    return max(levels, key=lambda each: (min(each - shared.low, shared.high - each), -each),
               default=None)  # fmt: skip


def against_stock(wish: BlueprintWish, water: SharedWater) -> tuple[Finding, ...]:
    """What stands against the animals of a plan, one by one and in pairs; and what to mind.

    Parameters
    ----------
    wish
        The plan.
    water
        Its source water, as far as it is known.
    """
    if not wish.wanted:
        return _against(wish, water)
    told = {
        "wishes": [(each.species, each.count) for each in wish.wanted],
        "kept": [(each.species, each.count) for each in wish.animals],
    }
    key = "choose-fewer" if wish.animals else "choose-nobody-fits"
    all_of_them = _against(replace(wish, animals=wish.wanted), water)
    return (
        Finding(key, "problem", told),
        *(each for each in all_of_them if each.severity == "problem"),
        *wish.no_room,
        *(each for each in _against(wish, water) if each.severity != "problem"),
    )


def for_those_that_can(wish: BlueprintWish, choice: Choice, *, warmth_told: bool) -> BlueprintWish:
    """The plan for the animals of a choice alone; what else was wished for is kept beside it.

    Animals that nobody knows stay: a choice cannot tell of them.

    Parameters
    ----------
    wish
        With all that are wished for.
    choice
        Of the same wishes.
    warmth_told
        Whether the keeper told how warm the water is to be.
    """
    own = own_catalogued(wish.own_animals)
    asked = {each.species: each.count for each in choice.wish.animals}
    counts = {each.species: each.count for each in choice.chosen}
    wanted: list[Wish] = []
    kept: list[Wish] = []
    for each in wish.animals:
        try:
            name = find_animal(each.species, own).scientific_name
        except UnknownAnimalError:
            wanted.append(each)
            kept.append(each)
            continue
        count = counts.pop(name, 0)
        told = each.count if asked.get(name) else max(count, 1)  # no number told: as many as fit
        wanted.append(replace(each, count=told))
        if count:
            kept.append(replace(each, count=count))
    warmth = choice.temperature_c if choice.chosen and not warmth_told else wish.water_c
    left = () if wanted == kept else tuple(wanted)
    room = [why for each in choice.left_out for why in each.reasons if why.key in OF_ROOMS]
    return replace(
        wish, animals=tuple(kept), wanted=left, no_room=tuple(room) if left else (), water_c=warmth
    )


def _against(wish: BlueprintWish, water: SharedWater) -> tuple[Finding, ...]:
    known = kinds_of(wish)
    if not known:
        return ()
    kinds = {name: animal for name, (animal, _) in known.items()}
    wishes = {name: AnimalWish(name, count) for name, (_, count) in known.items()}
    try:
        scene = scene_of(ChoiceWish(wish, tuple(wishes.values()), water, None, wish.water_c))
    except CannotPlan:
        return ()  # told as a finding of the water
    found: list[Finding] = []
    for animal in kinds.values():
        found += against_it(animal, scene)
        found += against_warmth(animal, scene, wish.water_c)
    found += [each.reason for each in pair_reasons(kinds, scene)]
    for name, animal in kinds.items():
        found += _company(name, wishes[name].count or 0, animal)
        found += [
            each
            for each in cautions_for(wishes[name], animal, scene)
            if each.key != "choose-group-raised"
        ]
    return tuple(found)


def _company(name: str, count: int, animal: CatalogueAnimal) -> Iterator[Finding]:
    least = least_of(animal)
    if 0 < count < least:
        told = {"name": name, "count": count, "least": least}
        yield Finding("choose-too-few", "problem", told)
