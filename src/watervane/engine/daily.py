"""Moments at which a run is looked at: evenly through a day, and before its first meal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.milestones import DailyReadings
from watervane.process.run import Course
from watervane.process.timeline import Timeline

STOPS_PER_DAY = 4
READ_AT_SHARE = 0.75  # of a day without a meal: six in the evening


@dataclass(frozen=True)
class Days:
    """The local days of a run.

    Parameters
    ----------
    begin_d, end_d
        Bounds of each day, shape (days,). [d]
    read_d
        Moment of each day's reading: its first meal, else early evening. [d]
    meals
        Meals of each day, shape (days,).
    """

    begin_d: NDArray[np.float64]
    end_d: NDArray[np.float64]
    read_d: NDArray[np.float64]
    meals: NDArray[np.int64]

    def middle_d(self, day: NDArray[np.float64]) -> NDArray[np.float64]:
        """Middle of days given by number; infinite stays infinite. [d]"""
        return _looked_up(0.5 * (self.begin_d + self.end_d), day)

    def reading_d(self, day: NDArray[np.float64]) -> NDArray[np.float64]:
        """Moment of the reading of days given by number; infinite stays infinite. [d]"""
        return _looked_up(self.read_d, day)

    def stops(self, first: int, last: int, sparse_before: int = 0) -> list[float]:
        """Moments to report of some days; days before ``sparse_before`` only their reading."""
        found: list[float] = []
        for day in range(first, last):
            begin, end = float(self.begin_d[day]), float(self.end_d[day])
            if day >= sparse_before:
                found += [begin + (end - begin) * k / STOPS_PER_DAY for k in range(STOPS_PER_DAY)]
            found.append(float(self.read_d[day]))
        return sorted(set(found))


def days_of(line: Timeline, last_day: int) -> Days:
    """Work out the days before ``last_day``."""
    bounds = np.array([line.calendar.bounds_d(day) for day in range(last_day)])
    begin, end = bounds[:, 0], bounds[:, 1]
    meals = np.sort([a.at_d for a in line.actions if a.scalars.get("food_mg_n_per_l", 0.0) > 0.0])
    first = np.searchsorted(meals, begin)
    count = np.searchsorted(meals, end) - first
    evening = begin + READ_AT_SHARE * (end - begin)
    padded = np.append(meals, np.inf)
    read = np.where(count > 0, padded[first], evening)
    return Days(begin, end, read, count.astype(np.int64))


def reading_stops(course: Course, days: Days) -> NDArray[np.int64]:
    """Stop of each day's reading in a course."""
    index = np.searchsorted(course.stops_d, days.read_d - 1e-9)
    return np.asarray(index, dtype=np.int64)


def daily_readings(course: Course, days: Days) -> DailyReadings:
    """What one would read on each day of a course."""
    at = reading_stops(course, days)
    return DailyReadings(
        ammonia=course.output("ammonia_mg_n_per_l")[at],
        nitrite=course.output("nitrite_mg_n_per_l")[at],
        alkalinity_meq_per_l=course.output("alkalinity_meq_per_l")[at],
        ph=course.output("ph")[at],
        ammonia_oxidisers=course.output("ammonia_oxidisers_mg_per_l")[at],
        nitrite_oxidisers=course.output("nitrite_oxidisers_mg_per_l")[at],
        meals=days.meals,
    )


def _looked_up(moments: NDArray[np.float64], day: NDArray[np.float64]) -> NDArray[np.float64]:
    known = np.isfinite(day)
    place = np.where(known, day, 0.0).astype(np.int64)
    return np.where(known, moments[place], np.inf)
