"""The test that would teach most about a question, among those that can be taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.advice.information import Information

Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]
TIED = 1.0  # standard errors: closer gains are not told apart, and the earlier test is taken
AS_GOOD = 0.9  # of the gain of the most telling test: not worth waiting for the rest
RANGE = (0.1, 0.9)


@dataclass(frozen=True)
class Choice:
    """Which of several tests to take.

    Parameters
    ----------
    best
        The earliest of those as good as the most telling one, or not to be told apart from it.
    soonest
        The most telling one of the first moment.
    worth_it
        Whether the most telling one tells more than chance shows.
    chance_bits
        What chance shows. [bit]
    """

    best: int
    soonest: int
    worth_it: bool
    chance_bits: float


def choose(moments_d: Sequence[float], found: Information, seed: int) -> Choice:
    """Choose among tests.

    Parameters
    ----------
    moments_d
        Of each test. [d]
    found
        What they would tell.
    seed
        Of the lots that show what chance does.
    """
    bits, moments = found.bits, np.asarray(moments_d)
    most = int(bits.argmax())
    near = [
        i
        for i in range(len(bits))
        if bits[i] >= AS_GOOD * bits[most]
        or bits[i] > bits[most] - TIED * found.error_between(i, most)
    ]
    best = min(near, key=lambda i: (moments[i], -bits[i]))
    first = np.flatnonzero(moments == moments.min())
    chance = found.chance_bits(seed)
    return Choice(best, int(first[bits[first].argmax()]), bool(bits[most] > chance), chance)


def range_days(moments_d: Numbers, weights: Numbers, cap_d: float) -> float:
    """Width of the 80 % range of a date. [d]

    Parameters
    ----------
    moments_d
        Of the members; later than ``cap_d`` counts as ``cap_d``. [d]
    weights
        Of the members, of any sum.
    cap_d
        End of what is looked at. [d]
    """
    capped = np.minimum(moments_d, cap_d)
    order = np.argsort(capped, kind="stable")
    below = np.cumsum(weights[order])
    places = np.searchsorted(below, np.array(RANGE) * below[-1])
    low, high = capped[order[np.minimum(places, len(order) - 1)]]
    return float(high - low)


def range_after_days(chances: Numbers, moments_d: Numbers, spared: Flags, cap_d: float) -> float:
    """Expected width of that range once a test was read. [d]

    Parameters
    ----------
    chances
        Of each thing the test can show, by member, shape (values, members).
    moments_d, cap_d
        See `range_days`.
    spared
        Members that have nothing to wait for, and so no date.
    """
    waiting = ~spared
    told, moments = chances[:, waiting], moments_d[waiting]
    each = np.array([range_days(moments, weights, cap_d) for weights in told])
    share = told.mean(axis=1)
    return float((each * share).sum() / share.sum())


def wrong_guesses(chances: Numbers, true: Flags) -> tuple[float, float]:
    """How often the likelier of two answers is wrong, before and after a test.

    Parameters
    ----------
    chances
        See `range_after_days`.
    true
        Whether the answer is yes, by member.
    """
    yes = (chances * true).mean(axis=1)
    no = (chances * ~true).mean(axis=1)
    before = min(float(true.mean()), 1.0 - float(true.mean()))
    return before, float(np.minimum(yes, no).sum())
