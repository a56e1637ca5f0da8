"""Chloride keeps nitrite out of the gills of many freshwater fish, not of all."""

from __future__ import annotations

from watervane.chemistry._arrays import Numbers, namespace
from watervane.reference import sourced
from watervane.units import conversions as mass

NITRITE_PER_N = mass.NITRITE / mass.NITROGEN
SODIUM_CHLORIDE_PER_CHLORIDE = (mass.SODIUM + mass.CHLORINE) / mass.CHLORINE


def chloride_to_nitrite_ratio(chloride_mg_per_l: Numbers, nitrite_mg_n_per_l: Numbers) -> Numbers:
    """Chloride over nitrite by mass of the ions.

    Parameters
    ----------
    chloride_mg_per_l : float or array [mg Cl/L]
    nitrite_mg_n_per_l : float or array [mg N/L]
        Above zero.

    Returns
    -------
    float or array [-]
    """
    return chloride_mg_per_l / (NITRITE_PER_N * nitrite_mg_n_per_l)


@sourced("extension_nitrite", where="chloride to nitrite 10 to 1 by mass")
def chloride_wanted_mg_per_l(nitrite_mg_n_per_l: Numbers, ratio: Numbers = 10.0) -> Numbers:
    """Chloride that keeps the wanted ratio to nitrite.

    Parameters
    ----------
    nitrite_mg_n_per_l : float or array [mg N/L]
    ratio : float or array [-]
        By mass of the ions; shown for catfish, did not protect largemouth bass.

    Returns
    -------
    float or array [mg Cl/L]
    """
    return ratio * NITRITE_PER_N * nitrite_mg_n_per_l


def sodium_chloride_wanted_mg_per_l(
    nitrite_mg_n_per_l: Numbers, chloride_mg_per_l: Numbers, ratio: Numbers = 10.0
) -> Numbers:
    """Salt to add for the wanted ratio of chloride to nitrite.

    Parameters
    ----------
    nitrite_mg_n_per_l : float or array [mg N/L]
    chloride_mg_per_l : float or array [mg Cl/L]
        Already in the water.
    ratio : float or array [-]

    Returns
    -------
    float or array [mg NaCl/L]
        Some catfish, tetras, snails and plants bear salt badly.
    """
    xp = namespace(nitrite_mg_n_per_l, chloride_mg_per_l, ratio)
    missing = chloride_wanted_mg_per_l(nitrite_mg_n_per_l, ratio) - chloride_mg_per_l
    return SODIUM_CHLORIDE_PER_CHLORIDE * xp.maximum(missing, 0.0)
