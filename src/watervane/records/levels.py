"""What counts as settled."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SettledLevels:
    """What counts as settled; editable. [mg N/L]"""

    ammonia_mg_n_per_l: float = 0.2
    nitrite_mg_n_per_l: float = 0.1

    def of(self, species: str) -> float:
        """The level that ``ammonia`` or ``nitrite`` stays under. [mg N/L]"""
        return self.ammonia_mg_n_per_l if species == "ammonia" else self.nitrite_mg_n_per_l
