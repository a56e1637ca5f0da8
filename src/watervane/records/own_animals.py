"""What a keeper knows of an animal better than the catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class OwnAnimal:
    """A keeper's own row of the catalogue, for one tank.

    Parameters
    ----------
    name
        Scientific or common name of an animal of the catalogue, or of a new one.
    cells
        What is told, by column of the catalogue and in its units; nothing else is there.
    """

    name: str
    cells: Mapping[str, str] = field(default_factory=dict)
