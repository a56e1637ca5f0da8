"""Wishes in a tank at a temperature: who fits, and the program of their numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from watervane.planning.choosing.fitting import (
    against_it,
    against_warmth,
    least_of,
    most_of,
    required_of,
)
from watervane.planning.choosing.program import Program, fits
from watervane.planning.choosing.scene import Room, Scene, rooms_of
from watervane.records import AnimalWish, PairReason
from watervane.reference import CatalogueAnimal

STEP_C = 0.5  # between temperatures looked at
COLDEST_C, WARMEST_C = 4.0, 35.0


@dataclass(frozen=True, slots=True)
class Wished:
    """All that is wished for: animals and wishes by scientific name, and who quarrels with whom."""

    animals: Mapping[str, CatalogueAnimal]
    wishes: Mapping[str, AnimalWish]
    pairs: tuple[PairReason, ...]

    def without(self, *names: str) -> Wished:
        """The same but for some kinds."""
        return Wished(
            {name: each for name, each in self.animals.items() if name not in names},
            {name: each for name, each in self.wishes.items() if name not in names},
            tuple(p for p in self.pairs if p.one not in names and p.other not in names),
        )

    @property
    def required(self) -> dict[str, int]:
        """Numbers without which the wishes are not met."""
        return {name: required_of(w, self.animals[name]) for name, w in self.wishes.items()}


@dataclass(frozen=True, slots=True)
class Standing:
    """The kinds that fit at a temperature, the rooms, and the program of their numbers."""

    temperature_c: float
    names: tuple[str, ...]
    rooms: tuple[Room, ...]
    program: Program

    def counts(self, told: Mapping[str, int]) -> tuple[int, ...]:
        """Numbers by name in the program's order."""
        return tuple(told.get(name, 0) for name in self.names)

    def raw(self, room: Room, told: Mapping[str, int]) -> float:
        """What numbers take of a room, in its own measure."""
        return sum(room.costs[name] * count for name, count in told.items() if count)


def suited_at_any(wished: Wished, scene: Scene) -> tuple[str, ...]:
    """Kinds with nothing against them, whatever the temperature."""
    return tuple(n for n, animal in wished.animals.items() if not against_it(animal, scene))


def suited_at(
    wished: Wished, scene: Scene, names: Sequence[str], temperature_c: float
) -> tuple[str, ...]:
    """Those of some kinds with nothing against them at a temperature."""
    return tuple(
        name for name in names if not against_warmth(wished.animals[name], scene, temperature_c)
    )


def standing_at(wished: Wished, scene: Scene, temperature_c: float) -> Standing:
    """Lay the program out.

    Parameters
    ----------
    wished
        Animals and wishes.
    scene
        The tank.
    temperature_c
        [degC]
    """
    names = suited_at(wished, scene, suited_at_any(wished, scene), temperature_c)
    rooms = rooms_of(scene, wished.animals, temperature_c)
    place = {name: index for index, name in enumerate(names)}
    quarrels = {
        (place[each.one], place[each.other])
        for each in wished.pairs
        if each.one in place and each.other in place
    }
    costs = [[room.costs[name] for name in names] for room in rooms]
    program = Program(
        least=tuple(least_of(wished.animals[name]) for name in names),
        asked=tuple(required_of(wished.wishes[name], wished.animals[name]) for name in names),
        most=tuple(most_of(wished.wishes[name], wished.animals[name]) for name in names),
        weights=tuple(wished.wishes[name].weight for name in names),
        costs=np.array(costs, dtype=np.float64).reshape(len(rooms), len(names)),
        limits=np.array([max(room.limit, 0.0) for room in rooms]),
        quarrels=tuple(sorted(quarrels)),
        wished=sum(each.weight for each in wished.wishes.values()),
    )
    return Standing(temperature_c, names, rooms, program)


def temperatures(wished: Wished, scene: Scene, told_c: float | None) -> list[float]:
    """Temperatures worth a look: of those with the same kinds fitting the coolest.

    Every load falls with the temperature, so a warmer one with no further kind is never better.

    Parameters
    ----------
    wished
        Animals and wishes.
    scene
        The tank.
    told_c
        Where the keeper has settled it. [degC]
    """
    if told_c is not None:
        return [told_c]
    found: list[tuple[float, frozenset[str]]] = []
    suited = suited_at_any(wished, scene)
    for level in grid_c():
        names = frozenset(suited_at(wished, scene, suited, level))
        if names and not any(names <= cooler for _, cooler in found):
            found.append((level, names))
    return [level for level, _ in found] or [_most_bearable_c(wished)]


def _most_bearable_c(wished: Wished) -> float:
    """Where nobody fits: the coolest temperature in the ranges of most."""

    def bearing(level: float) -> int:
        ranges = [each.temperature_c for each in wished.animals.values()]
        return sum(each is None or each.low <= level <= each.high for each in ranges)

    return max(grid_c(), key=lambda level: (bearing(level), -level))


def grid_c() -> list[float]:
    """All temperatures looked at. [degC]"""
    steps = round((WARMEST_C - COLDEST_C) / STEP_C)
    return [COLDEST_C + STEP_C * step for step in range(steps + 1)]


def meets_all(wished: Wished, scene: Scene, told_c: float | None) -> float | None:
    """The coolest temperature at which every wish is met with its number; ``None`` for none.

    Parameters
    ----------
    wished
        Animals and wishes.
    scene
        The tank.
    told_c
        Where the keeper has settled it. [degC]
    """
    level = coolest_for_all_c(wished, scene, told_c)
    if level is None or wished.pairs:
        return None
    standing = standing_at(wished, scene, level)
    required = standing.counts(wished.required)
    return level if fits(standing.program, required) else None


def coolest_for_all_c(wished: Wished, scene: Scene, told_c: float | None) -> float | None:
    """The coolest temperature at which nothing stands against any kind. [degC]"""
    if any(against_it(each, scene) for each in wished.animals.values()):
        return None
    lows = [each.temperature_c.low for each in wished.animals.values() if each.temperature_c]
    level = told_c if told_c is not None else max([COLDEST_C, *lows])
    warm = any(against_warmth(each, scene, level) for each in wished.animals.values())
    return None if warm else level
