"""All that a kit could have shown in the place of one reading."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from watervane.inference.kits import reading_spread
from watervane.inference.observation import possible
from watervane.kits.face import Cell
from watervane.kits.faces import face
from watervane.kits.photometer import DigitFace
from watervane.kits.sizes import (
    ADDITIVE,
    SCALES,
    SIZES,
    stray_below,
    stray_level,
)
from watervane.records import Kit, Reading, ReadingValue, Tank

Numbers = NDArray[np.float64]
RARE = 0.01  # of stray readings lie beyond the values that are told apart, on each side
SPREADS_PER_VALUE = 4.0  # finer digits than a quarter of the kit's error are taken together
PROBE_DIGITS_PER_FLOOR = 2.0  # of a probe that does not tell its last digit


@dataclass(frozen=True)
class Showable:
    """A reading, and readings that share out among them all that the kit could have shown.

    Parameters
    ----------
    reading
        As it came.
    kit
        As far as told.
    instead
        Readings of the same kit at the same moment, ascending.
    """

    reading: Reading
    kit: Kit | None
    instead: tuple[Reading, ...]

    @cached_property
    def values(self) -> Numbers:
        """One number for each of them, in the unit shown, ascending."""
        return np.array([middle(r.value, r.quantity) for r in self.instead])

    @cached_property
    def cells(self) -> tuple[Cell, ...]:
        """What each stands for, in the unit shown; the reading as it came is the last one."""
        return tuple(self._cell(r) for r in (*self.instead, self.reading))

    @property
    def series(self) -> bool:
        """Whether it is one value of a probe."""
        value, kit = self.reading.value, self.kit
        return kit is not None and kit.kind == "probe" and value.low == value.high

    @property
    def kind(self) -> str:
        """Kind of kit; a drop kit where none is told."""
        return "drop" if self.kit is None else self.kit.kind

    @property
    def outlier_chance(self) -> float:
        """Of a reading that has nothing to do with the water."""
        return SIZES[self.kind].outlier_chance

    @property
    def shown(self) -> tuple[float, float]:
        """Bounds of what was shown, infinite where open."""
        value = self.reading.value
        low = -np.inf if value.low is None else value.low
        return low, np.inf if value.high is None else value.high

    def spread(self, level: float) -> float:
        """Error of one reading near a level, in the unit shown."""
        return float(reading_spread(self.reading, self.kit, np.array([level]))[0])

    def _cell(self, reading: Reading) -> Cell:
        if not self.series:
            return face(reading, self.kit).cell(reading.value)
        half = 0.5 * _digit(reading, self.kit)
        low, high = _bounds(reading.value)
        kind = reading.value.kind
        at_bottom = low < half and reading.quantity not in ADDITIVE
        low = -np.inf if at_bottom or kind == "below" else low - half if kind != "above" else low
        high = np.inf if kind == "above" else high + half if kind != "below" else high
        chances = [
            0.0 if end == -np.inf else 1.0 if end == np.inf else _stray_below(reading, end)
            for end in (low, high)
        ]
        return Cell(low, high, chances[1] - chances[0])


def _stray_below(reading: Reading, level: float) -> float:
    return float(stray_below(reading.quantity, np.array([level]))[0])


def showable(tank: Tank, reading: Reading) -> Showable:
    """List what a kit could have shown.

    Parameters
    ----------
    tank
        For its kits.
    reading
        Of the tank's own water, with a number.
    """
    kit = tank.kits.get(reading.kit) if reading.kit else None
    found = Showable(reading, kit, ())
    read_off = face(reading, kit)
    if found.series:
        instead = _digits(found, _digit(reading, kit), np.inf)
    elif isinstance(read_off, DigitFace):
        instead = _digits(found, read_off.resolution, read_off.range_end)
    else:
        instead = _without_rare(tank, possible(tank, reading), reading)
    return replace(found, instead=tuple(instead))


def middle(value: ReadingValue, quantity: str) -> float:
    """One number for a value: the middle of its bounds.

    "More than" counts as its bound, and so does "less than" where values may be negative;
    else it counts as half its bound.
    """
    if value.low is None:
        high = value.high or 0.0
        return high if quantity in ADDITIVE else 0.5 * high
    return value.low if value.high is None else 0.5 * (value.low + value.high)


def _bounds(value: ReadingValue) -> tuple[float, float]:
    low = value.low if value.low is not None else value.high
    high = value.high if value.high is not None else value.low
    return float(low or 0.0), float(high or 0.0)


def _digit(reading: Reading, kit: Kit | None) -> float:
    scale = None if kit is None else kit.scale(reading.quantity)
    told = None if scale is None else scale.resolution
    return SCALES[reading.quantity].floor / PROBE_DIGITS_PER_FLOOR if told is None else told


def _far(quantity: str) -> tuple[float, float]:
    low, high = stray_level(quantity, np.array([RARE, 1.0 - RARE]))
    return (float(low) if quantity in ADDITIVE else 0.0), float(high)


def _without_rare(tank: Tank, every: tuple[Reading, ...], reading: Reading) -> list[Reading]:
    """Steps of a usual kit go on for ever; the far ones are taken together."""
    kit = tank.kits.get(reading.kit) if reading.kit else None
    scale = None if kit is None else kit.scale(reading.quantity)
    if scale is not None and len(scale.steps) >= 2:
        return list(every)
    low, high = _far(reading.quantity)
    near = [r for r in every if low <= _bounds(r.value)[0] <= high]
    first, last = (face(r, kit).cell(r.value) for r in (near[0], near[-1]))
    basis = reading.value.basis
    if np.isfinite(first.low):
        below = ReadingValue("below", None, first.low, basis)
        near.insert(0, replace(reading, value=below))
    return [*near, replace(reading, value=ReadingValue("above", last.high, None, basis))]


def _digits(found: Showable, digit: float, range_end: float) -> list[Reading]:
    """Digits, those the kit's error cannot tell apart taken together."""
    reading = found.reading
    start, far = _far(reading.quantity)
    end = min(far, range_end)
    basis = reading.value.basis
    first = int(np.floor(start / digit))
    made: list[ReadingValue] = []
    if reading.quantity in ADDITIVE:
        made.append(ReadingValue("below", None, (first - 0.5) * digit, basis))
    while first * digit <= end:
        error = found.spread(first * digit)
        count = max(int(error / SPREADS_PER_VALUE / digit), 1) if first else 1
        count = min(count, max(int(end / digit) - first + 1, 1))
        low, high = first * digit, (first + count - 1) * digit
        made.append(ReadingValue("exact" if count == 1 else "range", low, high, basis))
        first += count
    made.append(ReadingValue("above", (first - 0.5) * digit, None, basis))
    return [replace(reading, value=value) for value in made]
