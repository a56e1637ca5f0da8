"""When things happen, member by member: peaks, *settled*, and why some never get there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.records import SettledLevels

__all__ = [
    "DailyReadings",
    "SettledDays",
    "SettledLevels",
    "peak_days",
    "settled_days",
    "stall_causes",
]

PEAK_WORTH_NAMING_MG_N_PER_L = 0.1
SETTLED_DAYS = 7
MEALS_IN_A_SETTLED_WEEK = 2  # fewer and the levels are low for want of food
FED_DAYS_TO_JUDGE = 14  # before "never exceeded" says anything
SPENT_ALKALINITY_MEQ_PER_L = 0.15
SPENT_PH = 6.0
STANDSTILL = 0.1  # change from week to week that still counts as none


@dataclass(frozen=True)
class SettledDays:
    """First settled day of each member.

    Parameters
    ----------
    day
        Local day number, infinite where none; shape (members,).
    not_needed
        Whether neither level was ever exceeded though the tank was fed long enough to
        tell; shape (members,).
    """

    day: NDArray[np.float64]
    not_needed: NDArray[np.bool_]


@dataclass(frozen=True)
class DailyReadings:
    """What one would read just before each day's first meal, arrays (days, members).

    Parameters
    ----------
    ammonia, nitrite
        [mg N/L]
    alkalinity_meq_per_l, ph
        The same moments.
    ammonia_oxidisers, nitrite_oxidisers
        Size of the two colonies, any unit.
    meals
        Meals of each day, shape (days,).
    """

    ammonia: NDArray[np.float64]
    nitrite: NDArray[np.float64]
    alkalinity_meq_per_l: NDArray[np.float64]
    ph: NDArray[np.float64]
    ammonia_oxidisers: NDArray[np.float64]
    nitrite_oxidisers: NDArray[np.float64]
    meals: NDArray[np.int64]

    def until(self, day: int) -> DailyReadings:
        """The readings of the days before one."""
        return DailyReadings(*(getattr(self, name)[:day] for name in self.__dataclass_fields__))

    def of_members(self, index: NDArray[np.int64]) -> DailyReadings:
        """The readings of some members."""
        arrays = {n: getattr(self, n) for n in self.__dataclass_fields__ if n != "meals"}
        return DailyReadings(**{n: a[:, index] for n, a in arrays.items()}, meals=self.meals)

    def low(self, levels: SettledLevels) -> NDArray[np.bool_]:
        """Whether both levels are kept, shape (days, members)."""
        kept: NDArray[np.bool_] = (self.ammonia < levels.ammonia_mg_n_per_l) & (
            self.nitrite < levels.nitrite_mg_n_per_l
        )
        return kept


def peak_days(daily_means: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Day and height of the highest daily mean.

    Parameters
    ----------
    daily_means
        Shape (days, members). [mg N/L]

    Returns
    -------
    days, heights
        Shape (members,) each. The day's number is infinite where no peak is worth naming:
        such a member ranks last by date. The height is the highest daily mean all the same,
        so it ranks lowest by height; infinite only where there is no day at all.
    """
    if not len(daily_means):
        never = np.full(daily_means.shape[1], np.inf)
        return never, never.copy()
    highest = np.maximum(daily_means.max(axis=0), 0.0)
    worth = highest >= PEAK_WORTH_NAMING_MG_N_PER_L
    return np.where(worth, daily_means.argmax(axis=0).astype(float), np.inf), highest


def settled_days(read: DailyReadings, levels: SettledLevels) -> SettledDays:
    """Find *settled* in the daily readings: the first low week after either level was exceeded.

    A week with hardly a meal proves nothing and does not count. Where neither level was
    exceeded, settling is not needed only if the tank was fed long enough to tell.
    """
    low = read.low(levels)
    exceeded = np.cumsum(~low, axis=0) > 0
    starts = max(len(low) - SETTLED_DAYS + 1, 0)
    runs = np.ones_like(low[:starts])
    for ahead in range(SETTLED_DAYS):
        runs &= low[ahead : ahead + starts]
    found = runs & exceeded[:starts] & _fed_weeks(read.meals)[:starts, None]
    never = ~found.any(axis=0) if starts else np.ones(low.shape[1], dtype=bool)
    first = found.argmax(axis=0) if starts else np.zeros(low.shape[1])
    judged = int((read.meals > 0).sum()) >= MEALS_IN_A_SETTLED_WEEK and _span(read.meals) >= (
        FED_DAYS_TO_JUDGE
    )
    untouched: NDArray[np.bool_] = np.logical_and(~exceeded.any(axis=0), judged)
    return SettledDays(np.where(never, np.inf, first.astype(float)), untouched)


def _fed_weeks(meals: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether the week from each day on holds enough meals."""
    total = np.concatenate([[0], np.cumsum(meals > 0)])
    starts = max(len(meals) - SETTLED_DAYS + 1, 0)
    fed: NDArray[np.bool_] = (
        total[SETTLED_DAYS : SETTLED_DAYS + starts] - total[:starts] >= MEALS_IN_A_SETTLED_WEEK
    )
    return fed


def _span(meals: NDArray[np.int64]) -> int:
    """Days from the first fed day to the end."""
    fed = np.flatnonzero(meals > 0)
    return len(meals) - int(fed[0]) if len(fed) else 0


def stall_causes(read: DailyReadings, levels: SettledLevels) -> Mapping[str, NDArray[np.bool_]]:
    """Why a member that is not settled at the end of the run will not get there.

    Returns
    -------
    dict
        ``buffering-spent``: in the last week hardly any alkalinity is left, or pH stays
        under 6. ``residual-too-high``: a level is exceeded while its colony has stopped
        growing and the level itself stands, each week within a tenth of the one before.
        What is in neither is still on its way.
    """
    last = slice(-SETTLED_DAYS, None)
    spent = (np.median(read.alkalinity_meq_per_l[last], axis=0) < SPENT_ALKALINITY_MEQ_PER_L) | (
        np.median(read.ph[last], axis=0) < SPENT_PH
    )
    residual = np.zeros_like(spent)
    for guild in ("ammonia", "nitrite"):
        level: NDArray[np.float64] = getattr(read, guild)
        over = np.mean(level[last], axis=0) >= levels.of(guild)
        residual |= over & _stands(level) & _stands(getattr(read, f"{guild}_oxidisers"))
    return {"buffering-spent": spent, "residual-too-high": residual & ~spent}


def _stands(series: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether three weekly means in a row hardly differ; noise within a week averages out."""
    if len(series) < 3 * SETTLED_DAYS:
        return np.zeros(series.shape[1], dtype=bool)
    weeks = series[-3 * SETTLED_DAYS :].reshape(3, SETTLED_DAYS, -1).mean(axis=1)
    change = np.abs(np.diff(weeks, axis=0)) / np.maximum(weeks[:-1], 1e-9)
    still: NDArray[np.bool_] = (change < STANDSTILL).all(axis=0)
    return still
