"""A keeper's own figure in place of a shipped limit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LimitEdit:
    """The level a keeper sets for a limit, in the unit of its quantity.

    ``limit`` is a limit's key, or the beginning of several: ``nitrite_acute`` sets the acute
    level of nitrite for every group of animals.
    """

    limit: str
    value: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class ToldLimit:
    """A limit as it is told to a keeper: how high, for whom, over what time, on whose word.

    ``level`` is that of the middle member's water in the unit ``quantity`` carries, over the
    days told of; ``side`` is where harm lies, ``hours`` the time over which the water's mean is
    held against it. ``total_mg_n_per_l`` is the same level as total ammonia, where ``quantity``
    is the free part of it. ``animals`` are those present that it stands for, as their keeper
    names them. ``varies`` tells that the level moves with the water, ``edited`` that the keeper put
    the figure in place.
    """

    key: str
    tier: str
    subject: str
    quantity: str
    side: str
    level: float
    hours: float
    group: str
    animals: tuple[str, ...]
    source: str
    where: str
    quality: str
    note: str = ""
    edited: bool = False
    total_mg_n_per_l: float | None = None
    varies: bool = False
