"""How much the animals are fed under a routine: never less than the tables say they need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.periodic_changes import buffering_spent_dkh, share_for_peak
from watervane.forecast.quantiles import number_quantiles
from watervane.process.food_need import food_need_g_per_d
from watervane.records import Span
from watervane.records.care import FoodLevel, FoodSearch, Routine, RoutineTried

Numbers = NDArray[np.float64]
LEAST_TIMES = 0.5  # a routine that halves what is fed is looked into by asking again: house rule
NEARLY_ALL = 0.95  # of what is planned: nearer than that a keeper's pinch does not come
WIDE = 0.8  # under which a food between is searched, too
WORTH = 0.8  # times the work: less food that saves no fifth of it is not worth hungrier animals
MONTH_D, FOUR_WEEKS_D = 365.25 / 12.0, 28.0


@dataclass(frozen=True)
class Foods:
    """What daily foods are searched.

    Parameters
    ----------
    planned_g_per_d
        As it is told. [g/d]
    multiplier
        What each member makes of a told gram. [-]
    need
        Of those in the tank, by the tables. [g/d]
    times
        Foods that are searched, times what is planned, most first.
    held_by
        See `FoodSearch`.
    """

    planned_g_per_d: float
    multiplier: Numbers
    need: Span | None
    times: tuple[float, ...]
    held_by: str


def need_of(
    counts: Mapping[str, int], masses_g: Mapping[str, float], temperature_c: float
) -> Span | None:
    """Daily food of all animals that hold their weight; ``None`` where there are none. [g/d]

    Parameters
    ----------
    counts, masses_g
        By species. [g]
    temperature_c
        Of the water. [degC]
    """
    needs = [
        (count, food_need_g_per_d(masses_g[name], temperature_c))
        for name, count in counts.items()
        if count
    ]
    if not needs:
        return None
    return Span(sum(n * each.low for n, each in needs), sum(n * each.high for n, each in needs))


def foods_of(planned_g_per_d: float, multiplier: Numbers, need: Span | None) -> Foods:
    """The foods worth searching.

    Less than planned is searched down to what a lively animal needs, the upper end of the tables,
    by what the readings make of a told gram. Where what is planned lies under the lower end, that
    of an idle one, no routine is worked out for it: the search is of that end alone.

    Parameters
    ----------
    planned_g_per_d, multiplier, need
        See `Foods`.
    """
    given = planned_g_per_d * float(np.median(multiplier))
    if need is None or given <= 0.0:
        return Foods(planned_g_per_d, multiplier, need, (1.0,), "no-need-known")
    if given < need.low:
        return Foods(planned_g_per_d, multiplier, need, (need.low / given,), "below-need")
    least = max(need.high / given, LEAST_TIMES)
    held_by = "need" if need.high / given >= LEAST_TIMES else "half"
    if least > NEARLY_ALL:
        return Foods(planned_g_per_d, multiplier, need, (1.0,), held_by)
    between = () if least > WIDE else (0.5 * (1.0 + least),)
    return Foods(planned_g_per_d, multiplier, need, (1.0, *between, least), held_by)


def work_of(one: Routine, most_fed: float) -> float:
    """Minutes a month by which routines are put in order: less food must save a fifth. [min/month]

    Parameters
    ----------
    one
        The routine.
    most_fed
        Food of the most that is searched, times what is planned. [-]
    """
    return one.minutes_per_month / (WORTH if one.food < most_fed else 1.0)


def food_told(
    foods: Foods,
    nitrogen_mg_n_per_l_d: float,
    nitrate_mg_n_per_l: float,
    bound: float | None,
    tried: Sequence[RoutineTried],
) -> FoodSearch:
    """What each food brings by stoichiometry, and the least work that was found with it.

    Parameters
    ----------
    foods
        That were searched.
    nitrogen_mg_n_per_l_d
        Of the food as planned. [mg N/(L d)]
    nitrate_mg_n_per_l
        Of the tap. [mg N/L]
    bound
        Of comfort for nitrate, in the same unit.
    tried
        All that were run.
    """
    levels = []
    for times in foods.times:
        nitrogen = times * nitrogen_mg_n_per_l_d
        share = (
            np.inf
            if bound is None
            else share_for_peak(nitrate_mg_n_per_l, nitrogen, FOUR_WEEKS_D, bound)
        )
        kept = [each.routine for each in tried if each.keeps and each.routine.food == times]
        levels.append(
            FoodLevel(
                times,
                times * foods.planned_g_per_d,
                nitrogen,
                float(buffering_spent_dkh(MONTH_D * nitrogen)),
                float(share) if share <= 1.0 else None,
                min(kept, key=lambda one: one.minutes_per_month, default=None),
            )
        )
    given = number_quantiles(foods.multiplier)
    return FoodSearch(foods.planned_g_per_d, given, foods.need, foods.held_by, tuple(levels))
