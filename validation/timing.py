"""When a log shows ammonia gone and nitrite come, and when members would have shown it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from validation.kept_logs import KeptLog
from watervane.engine import Hindsight
from watervane.records import Reading

HIGH_MG_N_PER_L = 0.5
LOW_MG_N_PER_L = 0.3  # about the first steps of an ammonia kit
NITRITE_THERE_MG_N_PER_L = 0.25  # under the last step of the shortest chart, 1 ppm as the ion
STEPS = ("ammonia first low after it was high", "nitrite first clearly there")


@dataclass(frozen=True)
class Timing:
    """The day a step was first read, and quantiles of when members reach it.

    Days are those of readings, so both sides see the tank as seldom as the keeper did.
    ``None`` is never within the log, and ranks last.
    """

    step: str
    read_day: float | None
    days: tuple[float | None, float | None, float | None]  # 5, 50, 95 %
    known_before: bool

    @property
    def inside(self) -> bool:
        """Whether the day read lies in the 90 % range."""
        low, _, high = (np.inf if day is None else day for day in self.days)
        read = np.inf if self.read_day is None else self.read_day
        return bool(low <= read <= high)


def timings(log: KeptLog, made: Hindsight, as_of: datetime) -> Iterator[Timing]:
    """Both steps of a log.

    Parameters
    ----------
    log
        For its calendar.
    made
        A forecast with the members' levels at each reading.
    as_of
        A step read before is marked as known.
    """
    for step, quantity in zip(STEPS, ("ammonia", "nitrite"), strict=True):
        places = [i for i, r in enumerate(made.readings) if r.quantity == quantity]
        if not places:
            continue
        days = np.array([log.calendar.days(made.readings[i].at) for i in places])
        first = _first_low_again if quantity == "ammonia" else _first_there
        read = first(np.array([[_level(made.readings[i])] for i in places]), days)[0]
        reached = np.sort(first(made.levels[places], days))
        picked = [reached[round(q * (len(reached) - 1))] for q in (0.05, 0.5, 0.95)]
        yield Timing(
            step,
            _finite(read),
            (_finite(picked[0]), _finite(picked[1]), _finite(picked[2])),
            bool(read <= log.calendar.days(as_of)),
        )


def _finite(day: float) -> float | None:
    return float(day) if np.isfinite(day) else None


def _level(reading: Reading) -> float:
    low, high = reading.value.low, reading.value.high
    if low is None or high is None:
        return float(low if low is not None else high or 0.0)
    return 0.5 * (low + high)


def _first_there(levels: NDArray[np.float64], days: NDArray[np.float64]) -> NDArray[np.float64]:
    there = levels >= NITRITE_THERE_MG_N_PER_L
    return np.where(there.any(axis=0), days[there.argmax(axis=0)], np.inf)


def _first_low_again(levels: NDArray[np.float64], days: NDArray[np.float64]) -> NDArray[np.float64]:
    been = np.cumsum(levels >= HIGH_MG_N_PER_L, axis=0) > 0
    low = been & (levels <= LOW_MG_N_PER_L)
    return np.where(low.any(axis=0), days[low.argmax(axis=0)], np.inf)
