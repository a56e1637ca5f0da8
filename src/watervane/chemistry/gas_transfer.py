"""How fast gases cross the surface and leave bubbles."""

from __future__ import annotations

from watervane.chemistry._arrays import KELVIN_OFFSET, Numbers, namespace
from watervane.chemistry.gases import oxygen_saturation_mg_per_l
from watervane.reference import sourced

_RANGE = {"temperature_c": (0.0, 30.0)}
AIR_OXYGEN_MASS_FRACTION = 0.2314
AIR_G_PER_MOL = 28.9647
GAS_CONSTANT_L_ATM_PER_MOL_K = 0.08205737


@sourced("wanninkhof1992", where="Table A1, oxygen, fresh water", valid=_RANGE)
def schmidt_number_oxygen(temperature_c: Numbers) -> Numbers:
    """Viscosity of fresh water over the diffusivity of oxygen in it.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [-]
    """
    t = temperature_c
    return 1800.6 - 120.10 * t + 3.7818 * t**2 - 0.047608 * t**3


@sourced("wanninkhof1992", where="Table A1, CO2, fresh water", valid=_RANGE)
def schmidt_number_co2(temperature_c: Numbers) -> Numbers:
    """Viscosity of fresh water over the diffusivity of CO2 in it.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [-]
    """
    t = temperature_c
    return 1911.1 - 118.11 * t + 3.4527 * t**2 - 0.04132 * t**3


@sourced(
    "cole_caraco1998",
    where="k600 = 2.07 + 0.215 U10^1.7",
    valid={"wind_m_per_s": (0.0, 9.0)},
)
def k600_cm_per_h(wind_m_per_s: Numbers = 0.0) -> Numbers:
    """Transfer velocity at Schmidt number 600 over a calm lake: a lower bound indoors.

    Parameters
    ----------
    wind_m_per_s : float or array [m/s]

    Returns
    -------
    float or array [cm/h]
    """
    return 2.07 + 0.215 * wind_m_per_s**1.7


def transfer_velocity_cm_per_h(k600: Numbers, schmidt_number: Numbers) -> Numbers:
    """Transfer velocity of a gas from that at Schmidt number 600.

    Parameters
    ----------
    k600 : float or array [cm/h]
    schmidt_number : float or array [-]

    Returns
    -------
    float or array [cm/h]
        Surface renewal: inverse square root of the Schmidt number.
    """
    return k600 * (600.0 / schmidt_number) ** 0.5


def kla_of_surface_per_h(velocity_cm_per_h: Numbers, depth_m: Numbers) -> Numbers:
    """Gas transfer rate of a mixed tank through its surface.

    Parameters
    ----------
    velocity_cm_per_h : float or array [cm/h]
    depth_m : float or array [m]
        Volume over surface.

    Returns
    -------
    float or array [1/h]
    """
    return 0.01 * velocity_cm_per_h / depth_m


def co2_over_oxygen_transfer(temperature_c: Numbers) -> Numbers:
    """Surface transfer velocity of CO2 over that of oxygen, about 0.94.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [-]
        For bubbles it is an upper bound: they fill with CO2 before they burst.
    """
    return (schmidt_number_oxygen(temperature_c) / schmidt_number_co2(temperature_c)) ** 0.5


@sourced("asce_aeration", where="theta = 1.024", valid={"temperature_c": (5.0, 35.0)})
def kla_at_temperature(kla_20_per_h: Numbers, temperature_c: Numbers) -> Numbers:
    """Move a gas transfer rate from 20 degC to another temperature.

    Parameters
    ----------
    kla_20_per_h : float or array [1/h]
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [1/h]
    """
    return kla_20_per_h * 1.024 ** (temperature_c - 20.0)


def air_density_g_per_l(temperature_c: Numbers, pressure_atm: Numbers = 1.0) -> Numbers:
    """Density of dry air as an ideal gas.

    Parameters
    ----------
    temperature_c : float or array [degC]
    pressure_atm : float or array [atm]

    Returns
    -------
    float or array [g/L]
    """
    kelvin = temperature_c + KELVIN_OFFSET
    return AIR_G_PER_MOL * pressure_atm / (GAS_CONSTANT_L_ATM_PER_MOL_K * kelvin)


def kla_of_bubbler_per_h(
    air_l_per_h: Numbers,
    transfer_efficiency: Numbers,
    volume_l: Numbers,
    temperature_c: Numbers = 20.0,
    pressure_atm: Numbers = 1.0,
) -> Numbers:
    """Oxygen transfer rate of a bubbler from its standard efficiency.

    Parameters
    ----------
    air_l_per_h : float or array [L/h]
    transfer_efficiency : float or array [-]
        Share of the air's oxygen dissolved in oxygen-free water at 20 degC.
    volume_l : float or array [L]
    temperature_c : float or array [degC]
    pressure_atm : float or array [atm]

    Returns
    -------
    float or array [1/h]

    Notes
    -----
    Definition of the efficiency solved for the rate at 20 degC, then moved by 1.024 per degree.
    """
    oxygen_mg_per_h = (
        1e3 * AIR_OXYGEN_MASS_FRACTION * air_l_per_h * air_density_g_per_l(20.0, pressure_atm)
    )
    at_20 = (
        transfer_efficiency
        * oxygen_mg_per_h
        / (oxygen_saturation_mg_per_l(20.0, 0.0, pressure_atm) * volume_l)
    )
    return kla_at_temperature(at_20, temperature_c)


def oxygen_deficit_mg_per_l(demand_mg_per_l_per_h: Numbers, kla_per_h: Numbers) -> Numbers:
    """How far below saturation oxygen settles under a steady demand.

    Parameters
    ----------
    demand_mg_per_l_per_h : float or array [mg/(L h)]
    kla_per_h : float or array [1/h]

    Returns
    -------
    float or array [mg/L]
    """
    xp = namespace(demand_mg_per_l_per_h, kla_per_h)
    return xp.divide(demand_mg_per_l_per_h, kla_per_h)
