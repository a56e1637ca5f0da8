"""Which ways there are to start a tank: plain names, free of the model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

SALT, SOLUTION = "ammonium chloride", "ammonia solution"
HARDY = "Danio rerio"  # bears most ammonia and nitrite of the small fish in our tables
HARDY_CM = 2.5
FEW = 1.0 / 3.0  # at most, of the food the tank is meant to carry
FEWEST, LITRES_FOR_EACH = 6, 10.0  # a few small fish, and no more in a small tank
SPARE_FOOD = 0.5  # of the usual food, while animals live in a tank that is not settled
BOTTLE_DAYS: Mapping[int, int] = {0: 1, 7: 1, 14: 2}  # day of each dose: from which bottle
PLANTED_FIRST_DAYS = 14  # until plants have taken root


@dataclass(frozen=True)
class Start:
    """One way to start.

    Parameters
    ----------
    key
        Its name.
    animals
        ``none``, ``few`` (bought for it), ``present`` (as they are) or ``lodged`` elsewhere.
    dosed
        The substance that brings ammonia, if any.
    seeded, bottled, planted
        What comes in besides.
    cost
        ``little``, ``some`` or ``much``: house estimate.
    tended
        Whether tests and water changes are made for the animals; else all is as planned.
    """

    key: str
    animals: str
    cost: str
    dosed: str | None = None
    seeded: bool = False
    bottled: bool = False
    planted: bool = False
    tended: bool = True


_EMPTY = (
    Start("dosed-salt", "none", "little", SALT),
    Start("dosed-solution", "none", "little", SOLUTION),
    Start("seeded", "none", "little", SALT, seeded=True),
    Start("bottled", "none", "some", SALT, bottled=True),
    Start("animals-first", "few", "some"),
    Start("seeded-animals", "few", "some", seeded=True),
    Start("planted-animals", "few", "much", planted=True),
)
LODGED = "lodged"  # being moved is no small thing to an animal
AS_PLANNED = Start("as-planned", "present", "little", tended=False)
_OCCUPIED = (
    AS_PLANNED,
    Start("tended", "present", "little"),
    Start("tended-seeded", "present", "little", seeded=True),
    Start("tended-bottled", "present", "some", bottled=True),
    Start("tended-planted", "present", "much", planted=True),
    Start(LODGED, "lodged", "little", SALT),
)


def open_ways(*, occupied: bool, planted: bool, planned: bool = False) -> tuple[Start, ...]:
    """Ways that are open from here.

    Parameters
    ----------
    occupied
        Whether animals are in already: what ought to have come before them is not listed.
    planted
        Whether the tank is full of plants in any case.
    planned
        Whether the keeper of an empty tank has plans for animals or doses: they are compared too.
    """
    ways = _OCCUPIED if occupied else (*_EMPTY, *((AS_PLANNED,) if planned else ()))
    return tuple(way for way in ways if not (way.planted and planted))
