"""Photometers, and whatever else shows digits: a last digit, and an end of the range."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from watervane.kits.face import Array, Cell, cell_between
from watervane.kits.sizes import (
    ADDITIVE,
    SCALES,
    number,
    stray_level,
)
from watervane.records import ReadingValue


def usual_resolution(quantity: str) -> float:
    """Last digit of a photometer that does not tell it, in the quantity's unit."""
    return number("photometer_resolution_floors") * SCALES[quantity].floor


@dataclass(frozen=True)
class DigitFace:
    """Digits.

    Parameters
    ----------
    quantity
        What is tested.
    resolution
        One unit of the last digit.
    range_end
        The highest value shown; infinite where not told. What lies above is shown as such.
    """

    quantity: str
    resolution: float
    range_end: float = np.inf

    @property
    def _last(self) -> float:
        """Where the range ends: past the last digit that is shown."""
        return self.range_end + 0.5 * self.resolution

    def cell(self, value: ReadingValue) -> Cell:
        """The levels a value stands for."""
        return cell_between(self.quantity, *self._reach(value))

    def _reach(self, value: ReadingValue) -> tuple[float, float]:
        half = 0.5 * self.resolution
        if value.kind == "above":
            told = float(value.low or 0.0)
            off_range = abs(told - self.range_end) <= self.resolution
            return (self._last if off_range else told), np.inf
        if value.kind == "below":
            return -np.inf, float(value.high or 0.0)
        low, high = float(value.low or 0.0), float(value.high or 0.0)
        if low > self._last:
            return self._last, np.inf
        if value.kind == "about":
            half = self.resolution
        at_bottom = low < half and self.quantity not in ADDITIVE
        return (-np.inf if at_bottom else low - half), high + half

    def show(self, level: Array) -> Array:
        """The level rounded to the last digit; infinite off the range."""
        rounded = self.resolution * np.floor(level / self.resolution + 0.5)
        if self.quantity not in ADDITIVE:
            rounded = np.maximum(rounded, 0.0)
        return np.where(level > self._last, np.inf, rounded)

    def stray(self, chance: Array) -> Array:
        """The digits at a stray level."""
        return self.show(stray_level(self.quantity, chance))

    def values(self) -> tuple[float, ...]:
        """All that it can show, up to a far level where the range has no told end."""
        end = float(stray_level(self.quantity, np.array([0.99]))[0])
        last = self.range_end if np.isfinite(self.range_end) else end
        digits = self.resolution * np.arange(round(last / self.resolution) + 1)
        return (*(float(d) for d in digits), np.inf)
