"""What one would expect of the next readings without any model of the tank: house rules.

Two rivals a forecast has to beat. *Last value*: the next reading will be like the last, the
less surely the longer ahead. *Trend*: a straight line through the last few readings, through
their logarithms where the value cannot be negative, drawn on and flattening out, since no rise
or fall in a tank goes on for long.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Numbers = NDArray[np.float64]
TREND_READINGS = 4
FLATTENS_D = 7.0  # the line's slope fades by this time constant
FARTHEST_LOG = 3.0  # a line is drawn on to no more than twenty times what was read


@dataclass(frozen=True)
class Guess:
    """A normal distribution of what will be shown, or of its logarithm.

    Parameters
    ----------
    mean, spread
        Of the value, or of the natural logarithm of value plus offset.
    offset
        ``None``: of the value itself.
    """

    mean: float
    spread: float
    offset: float | None = None

    def below(self, level: Numbers) -> Numbers:
        """Chance of less than some levels, infinite ones too."""
        if self.offset is None:
            return np.asarray(ndtr((level - self.mean) / self.spread))
        with np.errstate(divide="ignore"):
            logs = np.log(np.maximum(level + self.offset, 0.0))
        return np.asarray(ndtr((logs - self.mean) / self.spread))


def last_value(days: Numbers, values: Numbers, ahead_d: float, error: float, floor: float) -> Guess:
    """Carry the last reading forward, its spread growing with the root of the days.

    Parameters
    ----------
    days, values
        Of the readings so far, in order of time; at least one. [d]
    ahead_d
        From the last of them. [d]
    error
        Standard deviation of one reading.
    floor
        Change from one day to the next that counts as one further observed step.
    """
    changes, gaps = np.diff(values), np.diff(days)
    squared = (float((changes**2).sum()) + floor**2) / (float(gaps.sum()) + 1.0)
    return Guess(float(values[-1]), float(np.sqrt(error**2 + squared * max(ahead_d, 0.0))))


def trend(days: Numbers, values: Numbers, at_d: float, error: float, offset: float | None) -> Guess:
    """Draw on a least-squares line through the last readings, with its prediction error.

    Past the last reading the slope fades; the error is that of the straight line.

    Parameters
    ----------
    days, values
        Of the readings so far, in order of time; on two days at least. [d]
    at_d
        When the line is read. [d]
    error
        Least standard deviation about the line: of the value, or relative where an offset is
        given.
    offset
        Added before the logarithm is taken, so that 0 has one; ``None``: no logarithm.
    """
    days, values = days[-TREND_READINGS:], values[-TREND_READINGS:]
    told = values if offset is None else np.log(values + offset)
    apart = days - days.mean()
    total = float((apart**2).sum())
    slope = float((apart * told).sum()) / total
    left = told - told.mean() - slope * apart
    sigma = max(float(np.sqrt((left**2).sum() / max(len(days) - 2, 1))), error)
    ahead = at_d - float(days.mean())
    spread = sigma * float(np.sqrt(1.0 + 1.0 / len(days) + ahead**2 / total))
    past = max(at_d - float(days[-1]), 0.0)
    faded = FLATTENS_D * (1.0 - float(np.exp(-past / FLATTENS_D)))
    mean = float(told.mean()) + slope * (ahead - past + faded)
    if offset is not None:
        top = float(told.max()) + FARTHEST_LOG
        mean, spread = min(max(mean, float(np.log(offset))), top), min(spread, FARTHEST_LOG)
    return Guess(mean, spread, offset)
