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
