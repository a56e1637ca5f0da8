"""What the colonies alone could turn over, against a load."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.process.run import Course
from watervane.process.state import OUTPUT

MARGIN = 1.25
YIELDS = {"ammonia": 0.16, "nitrite": 0.05}
HOT_LIMIT_C = 32.0


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
    Monod terms for nitrogen, oxygen and alkalinity, and temperature. Inhibition, films and pH
    are left out: this is the colony in its own tank's settled water.
    """
    colony = course.outputs[OUTPUT[f"{guild}_oxidisers_mg_per_l"]][stops]
    temperature = np.minimum(course.outputs[OUTPUT["temperature_c"]][stops], HOT_LIMIT_C)
    oxygen = course.outputs[OUTPUT["oxygen_mg_per_l"]][stops]
    alkalinity = np.maximum(course.outputs[OUTPUT["alkalinity_meq_per_l"]][stops], 0.0)
    warm = parameters[f"{guild}_oxidiser_theta"] ** (temperature - 20.0)
    half = parameters[f"{guild}_oxidiser_half_saturation"]
    half_oxygen = parameters[f"{guild}_oxidiser_half_saturation_oxygen"]
    half_alkalinity = parameters["half_saturation_alkalinity"]
    result: NDArray[np.float64] = (
        parameters[f"{guild}_oxidiser_growth_per_d"]
        * warm
        * colony
        / YIELDS[guild]
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
    """First day both colonies carry the load with margin and keep doing so a week.

    Returns
    -------
    array, shape (members,)
        Infinite where it is not reached.
    """
    able = np.minimum(ammonia_capacity, nitrite_capacity) >= MARGIN * load_mg_n_per_l_d
    found = able.any(axis=0)
    return np.where(found, able.argmax(axis=0).astype(float), np.inf)
