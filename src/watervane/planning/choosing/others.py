"""Which kinds could live in a tank where none of those wished for can."""

from __future__ import annotations

from watervane.planning.choosing.fitting import against_it, against_warmth, cautions_for, least_of
from watervane.planning.choosing.scene import Scene, rooms_of
from watervane.planning.choosing.standing import grid_c
from watervane.records import AnimalWish
from watervane.reference import CatalogueAnimal, catalogue

MOST_TOLD = 8
NOT_OFFERED = ("choose-outgrows", "choose-legal", "choose-little-known", "choose-jumps")


def kinds_that_fit(scene: Scene, told_c: float | None) -> tuple[str, ...]:
    """Kinds whose least group the tank bears by itself, those first that take least of it.

    None is offered that outgrows home tanks, that a law may forbid, that would jump out, or of
    which too little is known.

    Parameters
    ----------
    scene
        The tank.
    told_c
        Where the keeper has settled it. [degC]
    """
    found = []
    for animal in catalogue():
        taken = _taken(animal, scene, told_c)
        if taken is not None and taken <= 1.0:
            found.append((taken, animal.scientific_name))
    return tuple(name for _, name in sorted(found)[:MOST_TOLD])


def _taken(animal: CatalogueAnimal, scene: Scene, told_c: float | None) -> float | None:
    """Largest share of any room that its least group takes; ``None`` where it cannot be here."""
    name, suits = animal.scientific_name, animal.temperature_c
    cautions = cautions_for(AnimalWish(name), animal, scene)
    if suits is None or against_it(animal, scene) or {c.key for c in cautions} & set(NOT_OFFERED):
        return None
    levels = [level for level in grid_c() if suits.low <= level <= suits.high]
    level = told_c if told_c is not None else min(levels, default=suits.low)
    if against_warmth(animal, scene, level):
        return None
    least = least_of(animal)
    rooms = rooms_of(scene, {name: animal}, level)
    shares = [least * each.costs[name] / each.limit for each in rooms if each.limit > 0.0]
    spent = any(each.limit <= 0.0 < each.costs[name] for each in rooms)
    return None if spent else max(shares, default=0.0)
