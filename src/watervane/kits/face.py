"""What a kit can show, and the levels that each shown value stands for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from watervane.kits.sizes import stray_below
from watervane.records import ReadingValue

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cell:
    """The levels one shown value stands for, and how often a stray reading falls there.

    Parameters
    ----------
    low, high
        In the unit shown; infinite where open.
    stray
        Chance of a reading that has nothing to do with the water.
    """

    low: float
    high: float
    stray: float


def cell_between(quantity: str, low: float, high: float) -> Cell:
    """The levels between two, either of which may be infinite."""
    ends = np.array([low, high])
    chances = stray_below(quantity, np.where(np.isfinite(ends), ends, 0.0))
    below = 0.0 if low == -np.inf else float(chances[0])
    above = 1.0 if high == np.inf else float(chances[1])
    return Cell(low, high, above - below)


class Face(Protocol):
    """What a kit can show: printed steps, steps of a usual kit, or digits."""

    def cell(self, value: ReadingValue) -> Cell: ...

    def show(self, level: Array) -> Array: ...

    def stray(self, chance: Array) -> Array: ...

    def values(self) -> tuple[float, ...]: ...
