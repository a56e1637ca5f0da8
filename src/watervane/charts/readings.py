"""Readings as bars: as tall as the step the kit can tell apart."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from watervane.records import KitScale, Reading, Tank

OPEN_TOP_STRETCH = 1.3  # how far an open-ended bar is drawn past its last known level


@dataclass(frozen=True, slots=True)
class ReadingBar:
    """The levels one reading allows, in the stored unit of its quantity.

    ``low == high`` where the kit's steps are not told; ``open_top`` where the
    reading only says "at least"; ``used`` is false for readings later than the
    forecast, which it never saw.
    """

    at: datetime
    low: float
    high: float
    open_top: bool
    used: bool


def reading_bars(tank: Tank, quantity: str, as_of: datetime) -> tuple[ReadingBar, ...]:
    """Bars of every reading of the tank's own water, in order of time.

    Parameters
    ----------
    tank
        Holds the readings and the kits' scales.
    quantity
        ``ammonia``, ``nitrite``, ``nitrate``, ``ph``, ...
    as_of
        Later readings are marked as not used.
    """
    own = (r for r in tank.readings if r.quantity == quantity and not r.of_source_water)
    return tuple(_bar(reading, tank, as_of) for reading in sorted(own, key=lambda r: r.at))


def _bar(reading: Reading, tank: Tank, as_of: datetime) -> ReadingBar:
    """The levels of the tank's own water, also where a thinned sample was read."""
    shown, fold = _bar_as_shown(reading, tank, as_of), reading.diluted
    return replace(shown, low=fold * shown.low, high=fold * shown.high)


def _bar_as_shown(reading: Reading, tank: Tank, as_of: datetime) -> ReadingBar:
    value, used = reading.value, reading.at <= as_of
    low, high = value.low, value.high
    if high is None and low is not None:
        return ReadingBar(reading.at, low, _stretched(low, reading.quantity), True, used)
    if low is None and high is not None:
        return ReadingBar(reading.at, 0.0, high, False, used)
    if low is None or high is None:
        raise ValueError("a reading needs at least one bound")
    kit = tank.kits.get(reading.kit) if reading.kit else None
    scale = kit.scale(reading.quantity) if kit else None
    if low != high or scale is None or len(scale.steps) < 2:
        return ReadingBar(reading.at, low, high, False, used)
    bottom, top = step_interval(low, scale)
    if top is None:
        return ReadingBar(reading.at, bottom, _stretched(low, reading.quantity), True, used)
    return ReadingBar(reading.at, bottom, top, False, used)


def step_interval(value: float, scale: KitScale) -> tuple[float, float | None]:
    """The levels read as ``value``: half-way to the printed steps on both sides.

    The top step has no upper end (``None``); the bottom step reaches down to zero,
    or half a step for a scale that does not start near zero.
    """
    steps = scale.steps
    nearest = min(range(len(steps)), key=lambda index: abs(steps[index] - value))
    gap = min(b - a for a, b in itertools.pairwise(steps))
    on_step = abs(steps[nearest] - value) < 0.02 * gap
    below: Iterable[float] = [s for s in steps if s < value - (0.02 * gap if on_step else 0.0)]
    above: Iterable[float] = [s for s in steps if s > value + (0.02 * gap if on_step else 0.0)]
    under, over = max(below, default=None), min(above, default=None)
    first_gap = steps[1] - steps[0]
    floor = 0.0 if steps[0] < first_gap else steps[0] - first_gap / 2
    bottom = floor if under is None else (under + value) / 2
    return bottom, None if over is None else (value + over) / 2


def _stretched(low: float, quantity: str) -> float:
    return low + 0.5 if quantity == "ph" else low * OPEN_TOP_STRETCH + 0.05
