"""Random numbers keyed by member, calendar day and stream, never by call order.

Candidate futures, threads and batches that ask for the same key get the same number.
The hash is the SplitMix64 finaliser (steele2014; constants from memory).
"""

from __future__ import annotations

import zlib

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from watervane.reference import value

_MASK = (1 << 64) - 1
FOOD_LOG_SD = 0.35
FORGOTTEN = value("forgotten_meal_chance").value
DOUBLED = value("double_meal_chance").value


def _mix(value: NDArray[np.uint64]) -> NDArray[np.uint64]:
    with np.errstate(over="ignore"):
        value = value + np.uint64(0x9E3779B97F4A7C15)
        value = (value ^ (value >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        value = (value ^ (value >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return value ^ (value >> np.uint64(31))


def keyed_uniform(
    seed: int, members: NDArray[np.int64], day: int, stream: str
) -> NDArray[np.float64]:
    """Uniform numbers in (0, 1), one a member.

    Parameters
    ----------
    seed
        Of the forecast.
    members
        Member numbers, any shape.
    day
        Calendar day, counted from filling; may be negative.
    stream
        Name of what the number is for.
    """
    lane = np.array(
        [(seed * 0x9E3779B97F4A7C15 + zlib.crc32(stream.encode()) * 0x100000001B3) & _MASK],
        dtype=np.uint64,
    )
    key = _mix(_mix(lane) ^ np.uint64(day & _MASK))
    mixed = _mix(_mix(key ^ members.astype(np.uint64)))
    return ((mixed >> np.uint64(11)).astype(np.float64) + 0.5) / float(1 << 53)


def keyed_normal(
    seed: int, members: NDArray[np.int64], day: int, stream: str
) -> NDArray[np.float64]:
    """Standard normal numbers with the same keys as `keyed_uniform`."""
    result: NDArray[np.float64] = ndtri(keyed_uniform(seed, members, day, stream))
    return result


def food_multiplier(
    seed: int, members: NDArray[np.int64], day: int, spread: float = FOOD_LOG_SD
) -> NDArray[np.float64]:
    """How much of the told food a day really got; see `food_from`."""
    return food_from(keyed_normal(seed, members, day, "food"), spread)


def food_from(z: NDArray[np.float64], spread: float = FOOD_LOG_SD) -> NDArray[np.float64]:
    """Food a day really got over what was told, from one standard normal number.

    Lognormal with mean one; the lowest part is a forgotten meal, the highest a doubled one, as
    often as the table of events says.
    """
    chance = ndtr(z)
    inner = np.clip((chance - FORGOTTEN) / (1.0 - FORGOTTEN - DOUBLED), 1e-12, 1.0 - 1e-12)
    usual = np.exp(spread * ndtri(inner) - 0.5 * spread**2)
    return np.where(chance < FORGOTTEN, 0.05, np.where(chance > 1.0 - DOUBLED, 2.0, usual))
