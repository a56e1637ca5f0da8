"""What a kit can show, and the levels that each shown value stands for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

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


class Face(Protocol):
    """What a kit can show: printed steps, steps of a usual kit, or digits."""

    def cell(self, value: ReadingValue) -> Cell: ...

    def show(self, level: Array) -> Array: ...

    def stray(self, chance: Array) -> Array: ...

    def values(self) -> tuple[float, ...]: ...
