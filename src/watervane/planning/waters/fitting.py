"""Which animals a water suits as it is: fitting animals to water comes before changing it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from watervane.records import SharedWater, Span
from watervane.reference import CatalogueAnimal, catalogue

# Waters no nearer to a range than that are told apart by no test; ranges are round: house estimate.
TOLD_APART = {"ph": 0.05, "gh": 0.1, "kh": 0.1}
BRACKISH = "brackish"


@dataclass(frozen=True, slots=True)
class OutOfRange:
    """A quantity of a water that lies on one ``side`` of what an animal wants, low or high."""

    quantity: str
    side: str
    level: Span
    wanted: Span


def out_of_range(animal: CatalogueAnimal, water: SharedWater) -> Iterator[OutOfRange]:
    """What of a water is out of an animal's ranges; what nobody knows is not judged.

    Parameters
    ----------
    animal
        Of the catalogue.
    water
        As far as it is known.
    """
    exact = {"gh": water.gh_dgh, "kh": water.kh_dkh}
    levels = {name: Span.exact(level) for name, level in exact.items() if level is not None}
    if water.tank_ph is not None:
        levels["ph"] = water.tank_ph
    ranges = {"gh": animal.gh_dgh, "kh": animal.kh_dkh, "ph": animal.ph}
    for quantity, level in levels.items():
        wanted, near = ranges[quantity], TOLD_APART[quantity]
        if wanted is None or (level.high >= wanted.low - near and level.low <= wanted.high + near):
            continue
        side = "low" if level.high < wanted.low else "high"
        yield OutOfRange(quantity, side, level, wanted)


def suited(water: SharedWater) -> tuple[tuple[str, ...], dict[str, tuple[str, ...]]]:
    """Animals of the catalogue whose ranges of pH, GH and KH hold the water, and the others.

    Parameters
    ----------
    water
        As animals are to share it.

    Returns
    -------
    suits, suits_not
        Names; and by name what is out of range: ``ph-low``, ``gh-high`` and the like, or
        ``brackish`` for those that want salt.
    """
    found = {
        animal.scientific_name: (
            *((BRACKISH,) if animal.brackish == "needs" else ()),
            *(f"{each.quantity}-{each.side}" for each in out_of_range(animal, water)),
        )
        for animal in catalogue()
    }
    suits = tuple(name for name, against in found.items() if not against)
    return suits, {name: against for name, against in found.items() if against}
