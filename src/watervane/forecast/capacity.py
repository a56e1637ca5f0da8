"""What the colonies alone could turn over, against a load."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.milestones import SETTLED_DAYS
from watervane.process.rates.nitrifiers import (
    YIELD_MG_O2_PER_MG_N,
    ph_factor,
    temperature_factor,
)
from watervane.process.run import Course
from watervane.process.state import OUTPUT

MARGIN = 1.25  # house estimate: a generous day's food does not overrun the colonies


def capacity_mg_n_per_l_d(
    course: Course,
    stops: NDArray[np.int64],
    parameters: Mapping[str, NDArray[np.float64]],
    guild: str,
    level_mg_n_per_l: float,
) -> NDArray[np.float64]:
    """Nitrogen a guild turns over a day while its substrate stays at a level.

    Parameters
    ----------
    course, stops
        Where the colony is read off.
    parameters
        Of the members.
    guild
        ``ammonia`` or ``nitrite``.
    level_mg_n_per_l
        The level the water may hold. [mg N/L]

    Returns
    -------
    array, shape (stops, members)
        [mg N/L/d]

    Notes
    -----
    Monod terms for nitrogen, oxygen and alkalinity, temperature and pH. Inhibition by free
    ammonia and the film are left out: at the level of a settled tank both are small, and
    `MARGIN` covers them.
    """
    colony = course.outputs[OUTPUT[f"{guild}_oxidisers_mg_per_l"]][stops]
    temperature = course.outputs[OUTPUT["temperature_c"]][stops]
    oxygen = course.outputs[OUTPUT["oxygen_mg_per_l"]][stops]
    alkalinity = np.maximum(course.outputs[OUTPUT["alkalinity_meq_per_l"]][stops], 0.0)
    ph = course.outputs[OUTPUT["ph"]][stops]
    log_theta = np.log(parameters[f"{guild}_oxidiser_theta"])
    warm = temperature_factor(log_theta, temperature)
    half = parameters[f"{guild}_oxidiser_half_saturation"]
    half_oxygen = parameters[f"{guild}_oxidiser_half_saturation_oxygen"]
    half_alkalinity = parameters["half_saturation_alkalinity"]
    result: NDArray[np.float64] = (
        parameters[f"{guild}_oxidiser_growth_per_d"]
        * warm
        * ph_factor(ph)
        * colony
        / YIELD_MG_O2_PER_MG_N[guild]
        * level_mg_n_per_l
        / (half + level_mg_n_per_l)
        * oxygen
        / (half_oxygen + oxygen)
        * alkalinity
        / (half_alkalinity + alkalinity)
    )
    return result


def ready_days(
    ammonia_capacity: NDArray[np.float64],
    nitrite_capacity: NDArray[np.float64],
    load_mg_n_per_l_d: float,
) -> NDArray[np.float64]:
    """First day from which both colonies carry the load with margin for a week.

    Returns
    -------
    array, shape (members,)
        Infinite where it is not reached.
    """
    able = np.minimum(ammonia_capacity, nitrite_capacity) >= MARGIN * load_mg_n_per_l_d
    starts = max(len(able) - SETTLED_DAYS + 1, 0)
    runs = np.ones_like(able[:starts])
    for ahead in range(SETTLED_DAYS):
        runs &= able[ahead : ahead + starts]
    if not starts:
        return np.full(able.shape[1], np.inf)
    return np.where(runs.any(axis=0), runs.argmax(axis=0).astype(float), np.inf)
