"""Chance, day by day, that the water passes a published level.

A short list that any freshwater tank shares; limits by animal come with their own floor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.process.run import Course
from watervane.process.state import OUTPUT


@dataclass(frozen=True, slots=True)
class Level:
    """A level of one output, and on which side of it harm lies."""

    key: str
    output: str
    value: float
    above: bool
    source: str


LEVELS = (
    # < 0.05 mg NH3/L for long-term culture, Timmons & Ebeling 2007 (secondary)
    Level(
        "free_ammonia_above_0.041_mg_n_per_l",
        "free_ammonia_mg_n_per_l",
        0.0411,
        True,
        "timmons_ebeling2007",
    ),
    # British Columbia, chloride over 10 mg/L, maximum (from memory)
    Level("nitrite_above_0.6_mg_n_per_l", "nitrite_mg_n_per_l", 0.6, True, "bc_nitrite"),
    # EPA 1986 warm water, one-day minimum (from memory)
    Level("oxygen_below_3_mg_per_l", "oxygen_mg_per_l", 3.0, False, "epa1986_oxygen"),
    Level("ph_below_6", "ph", 6.0, False, "common-practice"),
)


def daily_risk(course: Course, first_d: float, days: int) -> dict[str, tuple[float, ...]]:
    """Share of members that pass each level on each day after a moment.

    Parameters
    ----------
    course
        With several stops a day.
    first_d
        The moment. [d]
    days
        How many days of 24 hours to report.
    """
    return {
        level.key: tuple(
            float(_passed(level, course, first_d + day, first_d + day + 1.0).mean())
            for day in range(days)
        )
        for level in LEVELS
    }


def passed_within(course: Course, first_d: float, last_d: float) -> dict[str, NDArray[np.bool_]]:
    """Which members pass each level at some time between two moments, shape (members,) each.

    Parameters
    ----------
    course
        With several stops a day.
    first_d, last_d
        The moments. [d]
    """
    return {level.key: _passed(level, course, first_d, last_d) for level in LEVELS}


def _passed(level: Level, course: Course, first_d: float, last_d: float) -> NDArray[np.bool_]:
    inside = (course.stops_d >= first_d - 1e-9) & (course.stops_d <= last_d + 1e-9)
    values: NDArray[np.float64] = course.outputs[OUTPUT[level.output]][inside]
    over: NDArray[np.bool_] = values > level.value if level.above else values < level.value
    return np.asarray(over.any(axis=0))
