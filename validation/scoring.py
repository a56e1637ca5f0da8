"""Readings beside the bands that foretold them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.kits import (
    ADDITIVE,
    BIAS_SPREAD,
    RATIO_ION_TO_N,
    RELATIVE_ERROR,
    SCALES,
    reading_interval,
)
from watervane.process.noise import keyed_normal
from watervane.records import QUANTILES, Kit, Reading, Tank

SCORED = ("ammonia", "nitrite", "nitrate", "ph", "kh")
BANDS = {50: (1, 3), 90: (0, 4)}  # per cent -> places in `QUANTILES`


@dataclass(frozen=True)
class Beside:
    """One reading and what was foretold for it, in the reading's canonical unit.

    Parameters
    ----------
    interval
        What the reading allows; open ends are infinite.
    quantiles
        At `QUANTILES`, of what the water holds.
    expected
        Per band, the chance to meet it if one of the members were the tank and its kit
        erred as assumed.
    """

    reading: Reading
    interval: tuple[float, float]
    quantiles: tuple[float, ...]
    expected: dict[int, float]
    error: float

    def meets(self, per_cent: int) -> bool:
        """Whether the interval and the band have anything in common."""
        low, high = BANDS[per_cent]
        return self.interval[1] >= self.quantiles[low] and self.interval[0] <= self.quantiles[high]

    @property
    def miss(self) -> float:
        """Gap between the interval and the 90 % band, in kit errors; above is positive."""
        below, above = self.quantiles[0] - self.interval[1], self.interval[0] - self.quantiles[4]
        return max(above, 0.0) / self.error - max(below, 0.0) / self.error


def beside(
    tank: Tank, readings: Sequence[Reading], levels: NDArray[np.float64], *, as_n: bool = False
) -> list[Beside]:
    """Put readings of the scored quantities beside the members' levels.

    Parameters
    ----------
    tank
        For its kits.
    readings, levels
        As `watervane.engine.hindsight` hands them out.
    as_n
        Take readings whose basis is not told as nitrogen instead of as the ion.
    """
    result = []
    for place, (reading, held) in enumerate(zip(readings, levels, strict=True)):
        if reading.quantity not in SCORED:
            continue
        kit = tank.kits.get(reading.kit) if reading.kit else None
        low, high = reading_interval(reading, kit)
        if as_n and reading.value.basis == "unknown" and reading.quantity in RATIO_ION_TO_N:
            ratio = RATIO_ION_TO_N[reading.quantity]
            low, high = ratio * low, ratio * high
        quantiles = np.quantile(held, QUANTILES)
        shown = _shown(reading, kit, held, place)
        reach = _reach(reading, shown)
        expected = {
            per_cent: float(
                np.mean((shown + reach >= quantiles[a]) & (shown - reach <= quantiles[b]))
            )
            for per_cent, (a, b) in BANDS.items()
        }
        middle = low if np.isfinite(low) else high
        error = float(_spread(reading, kit, np.array([middle]))[0])
        result.append(
            Beside(reading, (low, high), tuple(float(q) for q in quantiles), expected, error)
        )
    return result


def _spread(reading: Reading, kit: Kit | None, level: NDArray[np.float64]) -> NDArray[np.float64]:
    floor = SCALES[reading.quantity].floor
    if reading.quantity in ADDITIVE:
        return np.full_like(level, floor)
    kind = "drop" if kit is None else kit.kind
    return np.hypot(floor, RELATIVE_ERROR[kind] * level)


def _shown(
    reading: Reading, kit: Kit | None, held: NDArray[np.float64], place: int
) -> NDArray[np.float64]:
    """What the kit would show each member, with the bias and error assumed of kits."""
    numbers = np.arange(len(held))
    bias = keyed_normal(1, numbers, -1, f"shown bias {reading.kit} {reading.quantity}")
    luck = keyed_normal(1, numbers, place, "shown error")
    if reading.quantity in ADDITIVE:
        level = held + SCALES[reading.quantity].floor * bias
        return np.asarray(level + _spread(reading, kit, level) * luck)
    level = held * np.exp(BIAS_SPREAD * bias)
    return np.asarray(np.maximum(level + _spread(reading, kit, level) * luck, 0.0))


def _reach(reading: Reading, shown: NDArray[np.float64]) -> NDArray[np.float64]:
    """Half a usual step at the level shown."""
    scale = SCALES[reading.quantity]
    return np.maximum(scale.half_step, scale.relative_step * shown)


@dataclass(frozen=True)
class Sharpness:
    """How far the middle of a forecast lies off, and how wide it is, both on average.

    In the unit of the quantity; ``off`` is the gap from the median to the reading's interval.
    """

    count: int
    off: float
    width: float


def sharpness(rows: Sequence[Beside]) -> Sharpness:
    """Average over readings of one quantity."""
    gaps = [
        max(row.interval[0] - row.quantiles[2], row.quantiles[2] - row.interval[1], 0.0)
        for row in rows
    ]
    widths = [row.quantiles[4] - row.quantiles[0] for row in rows]
    return Sharpness(len(rows), float(np.mean(gaps)), float(np.mean(widths)))


@dataclass(frozen=True)
class Tally:
    """How many readings met their bands, and how many would have, were the forecast right."""

    count: int
    met: dict[int, int]
    expected: dict[int, float]
    above: int
    below: int

    def share(self, per_cent: int) -> float:
        """Part of the readings that met a band."""
        return self.met[per_cent] / self.count if self.count else float("nan")


def tally(rows: Sequence[Beside]) -> Tally:
    """Count readings that met their bands, and those above or below the 90 % band."""
    misses = [row.miss for row in rows if not row.meets(90)]
    return Tally(
        len(rows),
        {p: sum(row.meets(p) for row in rows) for p in BANDS},
        {p: sum(row.expected[p] for row in rows) for p in BANDS},
        sum(miss > 0.0 for miss in misses),
        sum(miss < 0.0 for miss in misses),
    )
