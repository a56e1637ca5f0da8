"""When things happen, member by member: peaks, *settled*, *ready*."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

PEAK_WORTH_NAMING_MG_N_PER_L = 0.1
SETTLED_DAYS = 7


@dataclass(frozen=True, slots=True)
class SettledLevels:
    """What counts as settled; editable. [mg N/L]"""

    ammonia_mg_n_per_l: float = 0.2
    nitrite_mg_n_per_l: float = 0.1


@dataclass(frozen=True)
class SettledDays:
    """First settled day of each member.

    Parameters
    ----------
    day
        Local day number, infinite where none; shape (members,).
    needed
        Whether either level was ever exceeded; shape (members,).
    """

    day: NDArray[np.float64]
    needed: NDArray[np.bool_]


def peak_days(daily_means: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Day and height of the highest daily mean.

    Parameters
    ----------
    daily_means
        Shape (days, members). [mg N/L]

    Returns
    -------
    days, heights
        Shape (members,) each; the middle of the day, infinite where no peak is worth naming.
    """
    highest = daily_means.max(axis=0)
    worth = highest >= PEAK_WORTH_NAMING_MG_N_PER_L
    days = daily_means.argmax(axis=0) + 0.5
    return np.where(worth, days, np.inf), np.where(worth, highest, np.inf)


def settled_days(
    ammonia: NDArray[np.float64], nitrite: NDArray[np.float64], levels: SettledLevels
) -> SettledDays:
    """Find *settled* in readings taken just before each day's first meal.

    Parameters
    ----------
    ammonia, nitrite
        Shape (days, members). [mg N/L]
    levels
        What counts as settled.
    """
    low = (ammonia < levels.ammonia_mg_n_per_l) & (nitrite < levels.nitrite_mg_n_per_l)
    exceeded = np.cumsum(~low, axis=0) > 0
    runs = np.ones_like(low[: max(len(low) - SETTLED_DAYS + 1, 0)])
    for ahead in range(SETTLED_DAYS):
        runs &= low[ahead : ahead + len(runs)]
    ready = runs & exceeded[: len(runs)]
    found = ready.any(axis=0) if len(ready) else np.zeros(low.shape[1], dtype=bool)
    first = ready.argmax(axis=0) if len(ready) else np.zeros(low.shape[1])
    return SettledDays(np.where(found, first.astype(float), np.inf), exceeded[-1])


def stall_causes(
    ammonia: NDArray[np.float64],
    nitrite: NDArray[np.float64],
    alkalinity_meq_per_l: NDArray[np.float64],
    ph: NDArray[np.float64],
    levels: SettledLevels,
) -> dict[str, NDArray[np.bool_]]:
    """Why a member that is not settled at the end of the run will not get there.

    Parameters
    ----------
    ammonia, nitrite, alkalinity_meq_per_l, ph
        The daily readings, shape (days, members).
    levels
        What counts as settled.

    Returns
    -------
    dict
        ``buffering-spent``: hardly any alkalinity is left, or pH is under 6.
        ``residual-too-high``: the level has stood still for two weeks, no longer rising or
        falling by more than a tenth. What is in neither is still on its way.
    """
    spent = (alkalinity_meq_per_l[-1] < 0.15) | (ph[-1] < 6.0)
    back = max(len(ammonia) - 15, 0)
    still = np.ones(ammonia.shape[1], dtype=bool)
    for series, level in (
        (ammonia, levels.ammonia_mg_n_per_l),
        (nitrite, levels.nitrite_mg_n_per_l),
    ):
        late = series[back:]
        moved = (late.max(axis=0) - late.min(axis=0)) / np.maximum(late.mean(axis=0), 1e-9)
        still &= (late.max(axis=0) < level) | (moved < 0.35)
    return {"buffering-spent": spent, "residual-too-high": still & ~spent}
