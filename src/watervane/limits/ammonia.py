"""Ammonia: criteria for the total by pH and temperature, and the free share by group.

Each alone misleads: a limit on free ammonia alone in acid water, where ammonium does its harm
too, one on the total alone for fish in alkaline water. The stricter of both counts.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from watervane.reference import sourced

Array = NDArray[np.float64]
# Of the 4-day mean over the 30-day criterion.
FOUR_DAY_FACTOR = 2.5
_VALID = {"ph": (6.0, 10.0), "temperature_c": (0.0, 30.0)}


@sourced("epa2013_ammonia", where="acute pH relation", valid={"ph": (6.0, 10.0)})
def acute_ph_factor_epa2013(ph: ArrayLike) -> Array:
    """Acutely harmful total ammonia at a pH over that at pH 7.

    Parameters
    ----------
    ph : float or array [-]

    Returns
    -------
    array [-]

    Notes
    -----
    As printed it gives 1.00003 at pH 7.
    """
    ph = np.asarray(ph, dtype=np.float64)
    return np.asarray(0.0114 / (1.0 + 10.0 ** (7.204 - ph)) + 1.6181 / (1.0 + 10.0 ** (ph - 7.204)))


@sourced("epa2013_ammonia", where="acute criterion, genus Oncorhynchus absent", valid=_VALID)
def acute_criterion_epa2013(ph: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Highest mean of an hour of total ammonia where no trout or salmon lives.

    Parameters
    ----------
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    array [mg N/L]
    """
    return 0.7249 * acute_ph_factor_epa2013(ph) * np.minimum(51.93, _invertebrates(temperature_c))


@sourced("epa2013_ammonia", where="acute criterion, genus Oncorhynchus present", valid=_VALID)
def acute_criterion_trout_epa2013(ph: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Highest mean of an hour of total ammonia where trout or salmon live.

    Parameters
    ----------
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    array [mg N/L]
    """
    ph = np.asarray(ph, dtype=np.float64)
    trout = 0.275 / (1.0 + 10.0 ** (7.204 - ph)) + 39.0 / (1.0 + 10.0 ** (ph - 7.204))
    return np.minimum(trout, 0.7249 * acute_ph_factor_epa2013(ph) * _invertebrates(temperature_c))


def _invertebrates(temperature_c: ArrayLike) -> Array:
    """Acute level of invertebrates before it is moved by pH. [mg N/L]"""
    warmth = np.asarray(temperature_c, dtype=np.float64)
    return np.asarray(23.12 * 10.0 ** (0.036 * (20.0 - warmth)))


@sourced("epa2013_ammonia", where="chronic criterion", valid=_VALID)
def chronic_criterion_epa2013(ph: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Highest mean of thirty days of total ammonia; of four days 2.5 times as much.

    Parameters
    ----------
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    array [mg N/L]

    Notes
    -----
    Mussels set it, so it is cautious where only fish live.
    """
    temperature_c = np.asarray(temperature_c, dtype=np.float64)
    by_temperature = 2.126 * 10.0 ** (0.028 * (20.0 - np.maximum(temperature_c, 7.0)))
    return np.asarray(0.8876 * _chronic_ph_factor(ph) * by_temperature)


def _chronic_ph_factor(ph: ArrayLike) -> Array:
    """Chronically harmful total ammonia at a pH over that at pH 7, both criteria's own. [-]"""
    ph = np.asarray(ph, dtype=np.float64)
    return np.asarray(0.0278 / (1.0 + 10.0 ** (7.688 - ph)) + 1.1994 / (1.0 + 10.0 ** (ph - 7.688)))


@sourced("epa2013_ammonia", where="appendix N, chronic, mussels absent", valid=_VALID)
def chronic_criterion_without_mussels_epa2013(ph: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Highest mean of thirty days of total ammonia where no mussels live, but young fish do.

    Parameters
    ----------
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    array [mg N/L]

    Notes
    -----
    From memory; 6.5 mg N/L at pH 7 and 20 degC.
    """
    temperature_c = np.asarray(temperature_c, dtype=np.float64)
    invertebrates = 7.547 * 10.0 ** (0.028 * (20.0 - temperature_c))
    return np.asarray(0.9405 * _chronic_ph_factor(ph) * np.minimum(6.920, invertebrates))
