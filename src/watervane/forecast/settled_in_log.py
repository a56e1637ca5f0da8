"""Whether readings, a few a week, show that a tank settled, and between which days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SPAN_D = 5.5  # from the first to the last of seven successive days, give or take some hours


@dataclass(frozen=True, slots=True)
class Level:
    """One reading of ammonia or nitrite, and whether it stands for a level that settled excludes.

    Parameters
    ----------
    day
        Since filling. [d]
    quantity
        ``ammonia`` or ``nitrite``.
    high
        Whether the level is exceeded.
    """

    day: float
    quantity: str
    high: bool


def settled_between(levels: Sequence[Level]) -> tuple[float, float] | None:
    """The last high reading and the first low one of the stretch that shows settling.

    A stretch shows it if ammonia or nitrite was high before, both are read low in its first
    seven days, nothing is high in them, and a low reading on the seventh day or later closes
    it.

    Parameters
    ----------
    levels
        In order of time.

    Returns
    -------
    tuple of two, or None
        Days since filling, [d]; ``None`` where the readings do not show it.
    """
    for first in levels:
        before = [one.day for one in levels if one.high and one.day < first.day]
        after = [one for one in levels if one.day >= first.day]
        closing = next((one.day for one in after if one.day >= first.day + SPAN_D), None)
        if not before or closing is None:
            continue
        stretch = [one for one in after if one.day <= closing]
        read = {one.quantity for one in stretch if one.day <= first.day + SPAN_D + 1.0}
        if not any(one.high for one in stretch) and len(read) == 2:
            return before[-1], first.day
    return None
