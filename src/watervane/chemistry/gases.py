"""Saturation of oxygen and CO2 in water that stands under air of some pressure."""

from __future__ import annotations

from watervane.chemistry._arrays import KELVIN_OFFSET, Numbers, namespace
from watervane.chemistry.carbonate_constants import log10_henry_co2
from watervane.reference import sourced
from watervane.units.conversions import CARBON_DIOXIDE

OUTDOOR_CO2_PPM = 420.0


@sourced("isa1975", where="troposphere", valid={"altitude_m": (-400.0, 11000.0)})
def standard_pressure_atm(altitude_m: Numbers) -> Numbers:
    """Air pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float or array [m]

    Returns
    -------
    float or array [atm]
    """
    return (1.0 - 2.25577e-5 * altitude_m) ** 5.25588


@sourced("apha4500_o", where="table notes", valid={"temperature_c": (0.0, 40.0)})
def water_vapour_pressure_atm(temperature_c: Numbers) -> Numbers:
    """Vapour pressure over a water surface.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [atm]
    """
    xp = namespace(temperature_c)
    kelvin = temperature_c + KELVIN_OFFSET
    return xp.exp(11.8571 - 3840.70 / kelvin - 216961.0 / kelvin**2)


@sourced(
    "benson_krause1984",
    where="ln C* in fresh and sea water; pressure term of the same paper",
    valid={
        "temperature_c": (0.0, 40.0),
        "salinity": (0.0, 40.0),
        "pressure_atm": (0.5, 1.1),
    },
)
def oxygen_saturation_mg_per_l(
    temperature_c: Numbers, salinity: Numbers = 0.0, pressure_atm: Numbers = 1.0
) -> Numbers:
    """Oxygen in water that has come to rest with moist air.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]
    pressure_atm : float or array [atm]

    Returns
    -------
    float or array [mg/L]
    """
    xp = namespace(temperature_c, salinity, pressure_atm)
    t, kelvin = temperature_c, temperature_c + KELVIN_OFFSET
    ln_fresh = (
        -139.34411
        + 1.575701e5 / kelvin
        - 6.642308e7 / kelvin**2
        + 1.2438e10 / kelvin**3
        - 8.621949e11 / kelvin**4
    )
    ln_salt = -salinity * (1.7674e-2 - 10.754 / kelvin + 2140.7 / kelvin**2)
    vapour = water_vapour_pressure_atm(t)
    theta = 0.000975 - 1.426e-5 * t + 6.436e-8 * t**2
    pressure = (
        (pressure_atm - vapour) * (1.0 - theta * pressure_atm) / ((1.0 - vapour) * (1.0 - theta))
    )
    return xp.exp(ln_fresh + ln_salt) * pressure


@sourced(
    "weiss1974",
    where="salinity term of the solubility of CO2",
    valid={"temperature_c": (-1.0, 40.0), "salinity": (0.0, 40.0)},
)
def salting_out_co2_weiss1974(temperature_c: Numbers, salinity: Numbers) -> Numbers:
    """Solubility of CO2 in salt water over that in fresh water.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [-]
    """
    xp = namespace(temperature_c, salinity)
    hundreds = (temperature_c + KELVIN_OFFSET) / 100.0
    return xp.exp(salinity * (0.023517 - 0.023656 * hundreds + 0.0047036 * hundreds**2))


def co2_saturation_mg_per_l(
    temperature_c: Numbers,
    co2_ppm: Numbers = OUTDOOR_CO2_PPM,
    pressure_atm: Numbers = 1.0,
    salinity: Numbers = 0.0,
) -> Numbers:
    """CO2 in water that has come to rest with air.

    Parameters
    ----------
    temperature_c : float or array [degC]
    co2_ppm : float or array [umol/mol of dry air]
        A closed room with people in it reaches 1000 and more.
    pressure_atm : float or array [atm]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [mg CO2/L]

    Notes
    -----
    Henry's law (Plummer & Busenberg 1982) on the dry share of the pressure.
    """
    partial = 1e-6 * co2_ppm * (pressure_atm - water_vapour_pressure_atm(temperature_c))
    solubility = 10.0 ** log10_henry_co2(temperature_c)
    salting = salting_out_co2_weiss1974(temperature_c, salinity)
    return 1e3 * CARBON_DIOXIDE * solubility * salting * partial


@sourced("sander2015", where="ammonia", valid={"temperature_c": (0.0, 50.0)})
def ammonia_solubility_mol_per_m3_pa(temperature_c: Numbers) -> Numbers:
    """Free ammonia in water over its pressure in the air above.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [mol/m3/Pa]
    """
    xp = namespace(temperature_c)
    return 0.59 * xp.exp(4200.0 * (1.0 / (temperature_c + KELVIN_OFFSET) - 1.0 / 298.15))
