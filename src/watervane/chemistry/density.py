"""Density of fresh and salt water at the surface."""

from __future__ import annotations

from watervane.chemistry._arrays import Numbers
from watervane.reference import sourced


@sourced(
    "millero_poisson1981",
    where="one-atmosphere equation of state of sea water, EOS-80",
    valid={"temperature_c": (0.0, 40.0), "salinity": (0.0, 42.0)},
)
def water_density_kg_per_l(temperature_c: Numbers, salinity: Numbers = 0.0) -> Numbers:
    """Density of water.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [kg/L]
    """
    t, s = temperature_c, salinity
    fresh = 999.842594 + t * (
        6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )
    linear = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    root = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    salt = linear * s + root * s**1.5 + 4.8314e-4 * s * s
    return 1e-3 * (fresh + salt)
