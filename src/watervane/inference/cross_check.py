"""Each part of a log held against what all the rest of it foretells.

Members agree with all readings. Weights that take a day's readings out of them again make them
agree with the other days only, and so foretell that day as if it had never been read. How far
out a reading then lies is a chance that is right under the model: of readings that are no strays
no more than a hundredth lie in the last hundredth.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.pareto import smoothed
from watervane.inference.reading_look import ReadingLook
from watervane.records import Reading

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class CrossCheck:
    """Readings left out, day by day and one by one.

    Parameters
    ----------
    fit
        Chance that a reading which is no stray lies as far out, as the readings of all other
        days foretell it, shape (readings,).
    without
        Log likelihood of all readings but one, less that of all, shape (readings, members). Of a
        probe its readings of one day go together.
    """

    fit: Numbers
    without: Numbers


def cross_check(
    look: ReadingLook,
    looks: Numbers,
    source: Numbers | None,
    latents: Numbers,
) -> CrossCheck:
    """Leave readings out of members that agree with all of them.

    Parameters
    ----------
    look
        What was read.
    looks, source, latents
        Of the members, see `ReadingLook.log_likelihood`.
    """
    readings = look.readings
    days = _numbered([_day(r) for r in readings])
    found = look.left_out(looks, source, latents, days)
    weights = np.stack([smoothed(gained)[0] for gained in found.gained])[days]
    sides = (weights * found.below).sum(axis=1), (weights * found.above).sum(axis=1)
    fit = np.minimum(2.0 * np.minimum(*sides), 1.0)
    ones = _numbered(
        [
            (r.at.date(), r.kit, r.quantity) if series else place
            for place, (r, series) in enumerate(zip(readings, look.of_series, strict=True))
        ]
    )
    return CrossCheck(fit, look.left_out(looks, source, latents, ones).gained[ones])


def day_chances(readings: Sequence[Reading], fit: Numbers) -> list[tuple[list[int], float]]:
    """How well each day's readings fit the rest of the log.

    Parameters
    ----------
    readings, fit
        See `CrossCheck`.

    Returns
    -------
    list of (places of the readings, chance)
        In the order the days come in; tests of the source water are days by themselves. The
        chance is that of the worst reading, times their number (Bonferroni): no higher than it
        would be right to say, however much the readings of a day resemble each other.
    """
    days: dict[Hashable, list[int]] = {}
    for place, reading in enumerate(readings):
        days.setdefault(_day(reading), []).append(place)
    return [(at, min(len(at) * float(fit[at].min()), 1.0)) for at in days.values()]


def _day(reading: Reading) -> Hashable:
    return reading.at.date(), reading.of_source_water


def _numbered(keys: Sequence[Hashable]) -> NDArray[np.int64]:
    """Numbers from 0 on, alike for equal keys."""
    numbers = {key: i for i, key in enumerate(dict.fromkeys(keys))}
    return np.array([numbers[key] for key in keys], dtype=np.int64)
