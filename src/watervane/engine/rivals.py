"""What the last readings alone would have told of the next, as chances of what a kit shows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.engine.showable import Showable, middle
from watervane.forecast.extrapolation import Guess, last_value, trend
from watervane.kits.sizes import ADDITIVE, SCALES
from watervane.process.calendar import Calendar
from watervane.records import LAST_VALUE, TREND, Reading

Numbers = NDArray[np.float64]


def rivals(used: Sequence[Reading], one: Showable, calendar: Calendar) -> dict[str, Numbers]:
    """Chances by the last value carried forward, and by the trend where there are two days.

    Readings of the same kit are drawn on, else those of any kit; without one there is no rival.
    A share of readings has nothing to do with the water, as for the forecasts.

    Parameters
    ----------
    used
        Readings known.
    one
        The later reading.
    calendar
        Of the tank.

    Returns
    -------
    dict
        By forecaster, shape (values + 1,) as in `kit_chances`.
    """
    before = _before(used, one)
    if not before:
        return {}
    quantity, at_d = one.reading.quantity, calendar.days(one.reading.at)
    days = np.array([calendar.days(r.at) for r in before])
    values = np.array([r.diluted * middle(r.value, quantity) for r in before])
    scale, diluted = SCALES[quantity], one.reading.diluted
    error = diluted * max(one.spread(values[-1] / diluted), scale.half_step / np.sqrt(3.0))
    guesses = {LAST_VALUE: last_value(days, values, at_d - days[-1], error, scale.half_step)}
    if len(set(np.floor(days))) > 1:
        offset = None if quantity in ADDITIVE else scale.half_step
        least = error if offset is None else error / (values[-1] + offset)
        guesses[TREND] = trend(days, values, at_d, least, offset)
    return {name: _chances(guess, one) for name, guess in guesses.items()}


def _before(used: Sequence[Reading], one: Showable) -> list[Reading]:
    same = [r for r in used if r.quantity == one.reading.quantity and not r.of_source_water]
    own = [r for r in same if r.kit == one.reading.kit]
    return sorted(own or same, key=lambda r: r.at)


def _chances(guess: Guess, one: Showable) -> Numbers:
    diluted = one.reading.diluted
    low = guess.below(np.array([diluted * cell.low for cell in one.cells]))
    high = guess.below(np.array([diluted * cell.high for cell in one.cells]))
    stray = np.array([cell.stray for cell in one.cells])
    return np.asarray((1.0 - one.outlier_chance) * (high - low) + one.outlier_chance * stray)
