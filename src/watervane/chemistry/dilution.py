"""What water changes and time leave of something dissolved: exact series, no estimates."""

from __future__ import annotations

import math
from collections.abc import Iterable


def left_after_changes(fractions: Iterable[float]) -> float:
    """Share left after water changes, each of a fraction of the water. [1]

    Parameters
    ----------
    fractions : iterable of float [-]
        0 to 1; the new water brings none of it.
    """
    return math.prod(1.0 - fraction for fraction in fractions)


def left_after_decay(hours: float, half_life_h: float) -> float:
    """Share left of what falls by half again and again. [1]

    Parameters
    ----------
    hours : float [h]
    half_life_h : float [h]
        May be infinite: nothing decays.
    """
    return 1.0 if math.isinf(half_life_h) else 0.5 ** (hours / half_life_h)


def peaks_of_repeats(dose: float, left_share: float, times: int) -> tuple[float, ...]:
    """Level right after each of equal doses, between which a share is left.

    Parameters
    ----------
    dose : float
        What one dose brings, in any unit a litre.
    left_share : float [-]
        Of the level before, at the next dose.
    times : int

    Returns
    -------
    tuple of float
        In the unit of ``dose``: the sums of the geometric series.
    """
    peaks, level = [], 0.0
    for _ in range(times):
        level = level * left_share + dose
        peaks.append(level)
    return tuple(peaks)


def endless_peak(dose: float, left_share: float) -> float:
    """Level that the peaks of equal doses come to, were they repeated for ever.

    Parameters
    ----------
    dose : float
    left_share : float [-]

    Returns
    -------
    float
        In the unit of ``dose``; infinite where nothing leaves.
    """
    return math.inf if left_share >= 1.0 else dose / (1.0 - left_share)


def share_to_change(load_per_d: float, level: float) -> float:
    """Share of the water to change each day so that a steady load peaks at a level. [1]

    Parameters
    ----------
    load_per_d : float
        What a day adds to a litre.
    level : float
        In the same unit; what is reached just before each change in the long run.
    """
    return load_per_d / level
