"""Routines that may be kept, what work each is, and which of them are worth being run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from watervane.advice.acts import BEGIN_MIN, BY_HOSE_MIN, CARRIED_L, PER_LITRE_MIN
from watervane.chemistry.periodic_changes import after_change, steady_peak
from watervane.records.care import Routine

Numbers = NDArray[np.float64]
SHARES = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
INTERVALS_D = (7, 14, 28, 56)
TAP, PURE = "tap", "pure"
TOP_OFFS = (TAP, PURE)
PRACTICE_SHARE, PRACTICE_DAYS = 0.25, 28  # a quarter a month: common practice, no source
DAYS_PER_MONTH = 365.25 / 12.0
TOP_OFF_MIN = 2.0  # once a week, house estimate
PURE_MIN_PER_L = 1.0  # buying or making it, and carrying it home: house estimate


@dataclass(frozen=True)
class Steady:
    """A quantity that a routine moves, over members: what a day adds, and of what it is made.

    Parameters
    ----------
    gain
        A day, topping off left out.
    source
        Of the tap.
    topped_gain
        What topping off with tap water adds a day.
    bound
        Not to be passed.
    above
        Whether harm lies above the bound.
    allowed
        Share of members that may pass it.
    """

    gain: Numbers
    source: Numbers
    topped_gain: Numbers
    bound: float
    above: bool
    allowed: float

    def peak(self, routine: Routine) -> Numbers:
        """Level just before each change in the long run."""
        gain = self.gain + (self.topped_gain if routine.top_off == TAP else 0.0)
        if routine.share <= 0.0:
            return np.where(gain == 0.0, self.source, np.sign(gain) * np.inf)
        return np.asarray(steady_peak(self.source, gain, routine.share, routine.every_days))

    def trough(self, routine: Routine) -> Numbers:
        """Level right after a change."""
        if routine.share <= 0.0:
            return self.peak(routine)
        return np.asarray(after_change(self.peak(routine), self.source, routine.share))

    def risk(self, routine: Routine) -> float:
        """Share of members that pass the bound in the long run."""
        levels = np.stack([self.peak(routine), self.trough(routine)])
        passed = levels > self.bound if self.above else levels < self.bound
        return float(passed.any(axis=0).mean())


def minutes_per_month(
    share: float, every_days: int, top_off: str, volume_l: float, evaporated_l_per_d: float
) -> float:
    """Work of a routine. [min/month]

    Parameters
    ----------
    share, every_days, top_off
        Of the routine.
    volume_l
        Of the tank. [L]
    evaporated_l_per_d
        [L/d]
    """
    litres = share * volume_l
    carried = min(litres, CARRIED_L)
    each = BEGIN_MIN + PER_LITRE_MIN * carried + BY_HOSE_MIN * (litres - carried)
    topped = DAYS_PER_MONTH / 7.0 * TOP_OFF_MIN
    if top_off == PURE:
        topped += DAYS_PER_MONTH * evaporated_l_per_d * PURE_MIN_PER_L
    return topped + (each * DAYS_PER_MONTH / every_days if share > 0.0 else 0.0)


def routine(
    share: float,
    every_days: int,
    top_off: str,
    volume_l: float,
    evaporated_l_per_d: float,
    food: float = 1.0,
) -> Routine:
    """A routine with its litres and its work; see `minutes_per_month`."""
    minutes = minutes_per_month(share, every_days, top_off, volume_l, evaporated_l_per_d)
    return Routine(share, every_days, top_off, share * volume_l, minutes, food)


def practice(volume_l: float, evaporated_l_per_d: float) -> Routine:
    """What is commonly told: a quarter a month, topped off with tap water."""
    return routine(PRACTICE_SHARE, PRACTICE_DAYS, TAP, volume_l, evaporated_l_per_d)


def worth_running(
    quantities: Mapping[float, Mapping[str, Steady]],
    volume_l: float,
    evaporated_l_per_d: float,
    most: int = 30,
) -> list[Routine]:
    """Routines near the edge of what closed forms say is enough, least work first.

    For each food, interval and water to top off with: the smallest share that keeps all bounds
    that the largest one keeps. As many of the next larger ones are added as there is room for,
    then of the next smaller ones, those of the most food and the least work first. The run
    decides.

    Parameters
    ----------
    quantities
        By the daily food, times what is planned, and by name.
    volume_l, evaporated_l_per_d
        See `minutes_per_month`.
    most
        How many may be run.
    """
    edge: dict[Routine, None] = {}
    beside: dict[Routine, tuple[int, float, float]] = {}
    for food, known in quantities.items():
        for top_off, every in product(TOP_OFFS, INTERVALS_D):
            row = [routine(s, every, top_off, volume_l, evaporated_l_per_d, food) for s in SHARES]
            place = _smallest(row, known)
            edge[row[place]] = None
            for smaller, near in enumerate((place + 1, place - 1)):
                if 0 <= near < len(row):
                    beside[row[near]] = smaller, -food, row[place].minutes_per_month
    more = sorted(beside, key=lambda each: beside[each])[: max(most - len(edge), 0)]
    return sorted(dict.fromkeys([*edge, *more]), key=least_first)


def least_first(one: Routine) -> tuple[float, float]:
    """Order of routines: less work before more, and of as much the one that feeds more."""
    return one.minutes_per_month, -one.food


def _smallest(row: Sequence[Routine], quantities: Mapping[str, Steady]) -> int:
    """Place of the smallest share that keeps what the largest one does."""
    reach = {
        name: max(each.allowed, each.risk(row[-1])) + 1e-9 for name, each in quantities.items()
    }
    for place, one in enumerate(row):
        if all(each.risk(one) <= reach[name] for name, each in quantities.items()):
            return place
    return len(row) - 1
