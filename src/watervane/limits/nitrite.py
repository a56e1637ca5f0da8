"""Nitrite: groups differ a hundredfold, and chloride keeps it out of the gills of most, not all.

Two rules of how much chloride allows come from two places, and stay apart: British Columbia's
steps, made for the most sensitive fish of rivers, and ten parts of chloride to one of nitrite,
shown for catfish. Largemouth bass were not protected (tomasso1986), and nobody tested small
tetras: where protection was not shown, chloride is not counted on.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from watervane.chemistry.nitrite_chloride import NITRITE_PER_N
from watervane.reference import sourced

Array = NDArray[np.float64]
_STEP_MG_PER_L = np.array([2.0, 4.0, 6.0, 8.0, 10.0])
_HIGHEST = np.array([0.06, 0.12, 0.18, 0.24, 0.30, 0.60])
_MEAN = np.array([0.02, 0.04, 0.06, 0.08, 0.10, 0.20])
# Groups of animals for which chloride was shown, or is taken as shown, to protect.
PROTECTED = frozenset({"sensitive", "tolerant", "crustacean", "mollusc"})


@sourced("bc_nitrite", where="table 2, maximum by chloride")
def highest_nitrite_bc(chloride_mg_per_l: ArrayLike) -> Array:
    """Highest nitrite at any time, in steps of chloride.

    Parameters
    ----------
    chloride_mg_per_l : float or array [mg Cl/L]
        A value on a step's edge takes the lower step, which is the stricter.

    Returns
    -------
    array [mg N/L]
    """
    return _HIGHEST[_step(chloride_mg_per_l)]


@sourced("bc_nitrite", where="table 2, mean of 30 days by chloride")
def mean_nitrite_bc(chloride_mg_per_l: ArrayLike) -> Array:
    """Highest mean nitrite of thirty days, in steps of chloride.

    Parameters
    ----------
    chloride_mg_per_l : float or array [mg Cl/L]

    Returns
    -------
    array [mg N/L]
    """
    return _MEAN[_step(chloride_mg_per_l)]


@sourced("extension_nitrite", where="chloride to nitrite 10 to 1 by mass")
def nitrite_blocked_by_chloride(
    chloride_mg_per_l: ArrayLike, ratio: float = 10.0, credited_mg_per_l: float = np.inf
) -> Array:
    """Nitrite that chloride keeps out of the gills of a catfish.

    Parameters
    ----------
    chloride_mg_per_l : float or array [mg Cl/L]
    ratio : float [-]
        Of chloride to nitrite, by mass of the ions.
    credited_mg_per_l : float [mg Cl/L]
        Chloride beyond it is not counted on.

    Returns
    -------
    array [mg N/L]
    """
    counted = np.minimum(np.asarray(chloride_mg_per_l, dtype=np.float64), credited_mg_per_l)
    return counted / (ratio * NITRITE_PER_N)


def nitrite_level(
    tested_mg_n_per_l: float,
    tested_chloride_mg_per_l: float | None,
    chloride_mg_per_l: ArrayLike,
    allowed_by_steps: Array,
    blocked: Array,
) -> Array:
    """Nitrite a group bears at a chloride; never less than at a lower one.

    Parameters
    ----------
    tested_mg_n_per_l : float [mg N/L]
        What the group's own test allows.
    tested_chloride_mg_per_l : float or None [mg Cl/L]
        Of that test; below it the group bears less in proportion, above it not more.
        ``None`` where protection was not shown: chloride then changes nothing.
    chloride_mg_per_l : float or array [mg Cl/L]
    allowed_by_steps, blocked : array [mg N/L]
        By the two rules at this chloride; for a protected group each alone suffices.

    Returns
    -------
    array [mg N/L]
    """
    chloride = np.asarray(chloride_mg_per_l, dtype=np.float64)
    if tested_chloride_mg_per_l is None:
        return np.full_like(chloride, tested_mg_n_per_l)
    own = tested_mg_n_per_l * np.clip(chloride / tested_chloride_mg_per_l, 0.0, 1.0)
    return np.maximum(own, np.maximum(allowed_by_steps, blocked))


def _step(chloride_mg_per_l: ArrayLike) -> NDArray[np.int64]:
    return np.searchsorted(_STEP_MG_PER_L, np.asarray(chloride_mg_per_l), side="left")
