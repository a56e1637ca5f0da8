"""How long and how fast: the mean over an exposure, and the largest change within a while."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def mean_over(
    times_d: ArrayLike, values: ArrayLike, exposure_hours: float, first: int = 0
) -> Array:
    """Mean over the hours before each moment, as straight lines between moments.

    Where the record is shorter than the exposure the mean is over what there is, as if what was
    before had been like it: a course that begins badly is not excused by an unknown past.

    Parameters
    ----------
    times_d : array, shape (stops,)
        Ascending. [d]
    values : array, shape (stops, ...)
    exposure_hours : float [h]
    first : int
        Stop from which on the mean is wanted.

    Returns
    -------
    array, shape (stops - first, ...)
    """
    times, values = _course(times_d, values)
    if len(times) == 1:
        return values[first:]
    steps = np.diff(times).reshape(-1, *([1] * (values.ndim - 1)))
    rising = 0.5 * (values[1:] + values[:-1]) * steps
    area = np.concatenate([np.zeros_like(values[:1]), np.cumsum(rising, axis=0)])
    wanted = times[first:]
    begins = np.maximum(wanted - exposure_hours / 24.0, times[0])
    after = np.clip(np.searchsorted(times, begins, side="right"), 1, len(times) - 1)
    gone = _shaped(begins - times[after - 1], values)
    share = gone / _shaped(times[after] - times[after - 1], values)
    there = values[after - 1]
    before = area[after - 1] + gone * (there + 0.5 * share * (values[after] - there))
    span = _shaped(wanted - begins, values)
    mean = np.divide(area[first:] - before, span, out=values[first:].copy(), where=span > 0.0)
    return np.asarray(mean)


def largest_change(times_d: ArrayLike, values: ArrayLike, within_hours: float) -> Array:
    """Largest rise or fall that ends at each moment and took no longer than a while.

    A jump between two moments further apart than that counts by its steepness.

    Parameters
    ----------
    times_d : array, shape (stops,)
        Ascending. [d]
    values : array, shape (stops, ...)
    within_hours : float [h]

    Returns
    -------
    array, shape (stops, ...)
    """
    times, values = _course(times_d, values)
    largest = np.zeros_like(values)
    within = within_hours / 24.0
    for back in range(1, len(times)):
        apart = times[back:] - times[:-back]
        near = apart <= within * (1.0 + 1e-9)
        if back > 1 and not near.any():
            break
        change = np.abs(values[back:] - values[:-back])
        share = np.where(near, 1.0, within / apart if back == 1 else 0.0)
        largest[back:] = np.maximum(largest[back:], change * _shaped(share, values))
    return largest


def _course(times_d: ArrayLike, values: ArrayLike) -> tuple[Array, Array]:
    times = np.asarray(times_d, dtype=np.float64)
    course = np.asarray(values, dtype=np.float64)
    if times.ndim != 1 or len(times) == 0 or course.shape[:1] != times.shape:
        raise ValueError("a course has one value, or one row of them, for each moment")
    if np.any(np.diff(times) <= 0.0):
        raise ValueError("the moments of a course ascend")
    return times, course


def _shaped(by_stop: Array, values: Array) -> Array:
    return by_stop.reshape(-1, *([1] * (values.ndim - 1)))
