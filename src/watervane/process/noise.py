"""Random numbers keyed by member, calendar day and stream, never by call order.

Candidate futures, threads and batches that ask for the same key get the same number.
The hash is the SplitMix64 finaliser (steele2014; constants from memory).
"""

from __future__ import annotations

import zlib

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

_MASK = (1 << 64) - 1


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
    seed: int, members: NDArray[np.int64], day: int, spread: float = 0.35
) -> NDArray[np.float64]:
    """How much of the told food a day really got.

    Lognormal with mean one; one day in fifty is forgotten, one in fifty doubled
    (house estimate).
    """
    noise = np.exp(spread * keyed_normal(seed, members, day, "food") - 0.5 * spread**2)
    odd = keyed_uniform(seed, members, day, "odd meal")
    return np.where(odd < 0.02, 0.05, np.where(odd > 0.98, 2.0, 1.0)) * noise
