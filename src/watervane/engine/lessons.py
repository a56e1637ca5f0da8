"""What the readings taught about a tank, from the members that agree with them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.taught import (
    HEAVIEST_TAIL,
    LEAST_EFFECTIVE,
    distance_d,
    learned,
    still_open,
    tail_shape,
    told_alone,
    weighted_date_d,
    weights_without,
)
from watervane.inference.fitting import Fitted
from watervane.inference.priors import UNKNOWNS
from watervane.records import Moved, Reading, Taught

Numbers = NDArray[np.float64]
BEYOND_CHANCE = 2.0  # standard errors


def taught(
    fitted: Fitted, readings: Sequence[Reading], settled_d: Numbers | None, horizon_d: float
) -> Taught | None:
    """What was learned; ``None`` without readings.

    Parameters
    ----------
    fitted
        Members and how each reading fits them.
    readings
        That were used, in the order of ``fitted.each``.
    settled_d
        When each member is settled, infinite where never; ``None`` where no date is foretold. [d]
    horizon_d
        To which dates are looked at. [d]
    """
    if fitted.z is None or fitted.each is None:
        return None
    lasting = [i for i, name in enumerate(fitted.names) if _lasts(name)]
    names = [fitted.names[i] for i in lasting]
    z = fitted.z[lasting]
    if settled_d is None:
        return Taught(learned(names, z, fitted.effective), ())
    return Taught(
        learned(names, z, fitted.effective),
        still_open(names, z, settled_d),
        _moved(fitted.each, readings, settled_d, horizon_d, fitted.effective),
    )


def _lasts(name: str) -> bool:
    """Rates, colonies, source water and kits; not the noise of single days and weeks."""
    return name in UNKNOWNS or not name.rsplit(" ", 1)[-1].isdigit()


def _moved(
    each: Numbers,
    readings: Sequence[Reading],
    settled_d: Numbers,
    horizon_d: float,
    effective: float,
) -> Moved | None:
    """The reading that told most the others did not, and where the date would be without it."""
    alone = told_alone(each)
    place = int(alone.argmax())
    if alone[place] < 1.0 / max(effective, 1.0):
        return None
    reading = readings[place]
    weights, worth = weights_without(each, place)
    worth *= effective / len(settled_d)
    spread = float(np.minimum(settled_d, horizon_d).std())
    apart = distance_d(settled_d, weights, horizon_d)
    shaky = worth < LEAST_EFFECTIVE or tail_shape(each, place) > HEAVIEST_TAIL
    if shaky or apart < BEYOND_CHANCE * spread / np.sqrt(worth):
        return Moved(reading.at, reading.quantity, None, None)
    even = np.full(len(settled_d), 1.0 / len(settled_d))
    low, middle, high = (
        (weighted_date_d(settled_d, even, share), weighted_date_d(settled_d, weights, share))
        for share in (0.1, 0.5, 0.9)
    )
    with np.errstate(invalid="ignore"):
        days = middle[0] - middle[1]
        narrowed = (high[1] - low[1]) - (high[0] - low[0])
    return Moved(reading.at, reading.quantity, _finite(days), _finite(narrowed))


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None
