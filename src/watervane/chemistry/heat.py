"""Heat a tank loses to its room, and what the heater must do about it.

Mains current and water: the hands stay out while a heater is plugged in, and a heater runs only
under water.
"""

from __future__ import annotations

from typing import NamedTuple

from watervane.chemistry._arrays import KELVIN_OFFSET, Numbers, namespace
from watervane.reference import sourced

WATER_SIDE_W_PER_M2_K = 500.0
GLASS_W_PER_M_K = 1.0
VERTICAL_FILM_W_PER_M2_K = 8.29
HEAT_DOWN_FILM_W_PER_M2_K = 6.13
WATER_EMISSIVITY = 0.96
STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374e-8
WATER_HEAT_J_PER_KG_K = 4182.0
QUIET_SURFACE = 0.74
"""Measured evaporation of an undisturbed surface over the handbook equation."""


@sourced("buck1981", where="1996 form over water", valid={"temperature_c": (0.0, 50.0)})
def saturation_vapour_pressure_kpa(temperature_c: Numbers) -> Numbers:
    """Vapour pressure of saturated air.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [kPa]
    """
    xp = namespace(temperature_c)
    t = temperature_c
    return 0.61121 * xp.exp((18.678 - t / 234.5) * t / (257.14 + t))


@sourced("engineering_handbook", where="latent heat", valid={"temperature_c": (0.0, 40.0)})
def latent_heat_kj_per_kg(temperature_c: Numbers) -> Numbers:
    """Heat that evaporating water takes along.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [kJ/kg]
    """
    return 2501.0 - 2.36 * temperature_c


@sourced(
    "ashrae_natatorium",
    where="Carrier form, SI",
    valid={"air_speed_m_per_s": (0.0, 0.7)},
)
def evaporation_kg_per_m2_h(
    water_c: Numbers,
    air_c: Numbers,
    relative_humidity: Numbers,
    surface_factor: Numbers = QUIET_SURFACE,
    air_speed_m_per_s: Numbers = 0.0,
) -> Numbers:
    """Water lost from an open surface.

    Parameters
    ----------
    water_c : float or array [degC]
    air_c : float or array [degC]
    relative_humidity : float or array [-]
        0 to 1.
    surface_factor : float or array [-]
        1 for the handbook equation; a lid lowers it towards 0.
    air_speed_m_per_s : float or array [m/s]

    Returns
    -------
    float or array [kg/(m2 h)]
        Never negative: dew on cold water is left out.
    """
    xp = namespace(water_c, air_c, relative_humidity, surface_factor)
    drive = saturation_vapour_pressure_kpa(water_c) - relative_humidity * (
        saturation_vapour_pressure_kpa(air_c)
    )
    rate = xp.maximum(drive, 0.0) * (0.089 + 0.0782 * air_speed_m_per_s)
    return 3600.0 * surface_factor * rate / latent_heat_kj_per_kg(water_c)


@sourced("ashrae_natatorium", where="films in series through a pane")
@sourced("en673", where="conductivity of glass")
def pane_conductance_w_per_m2_k(
    glass_mm: Numbers, outside_film_w_per_m2_k: Numbers = VERTICAL_FILM_W_PER_M2_K
) -> Numbers:
    """Heat through a pane between moving water and still air.

    Parameters
    ----------
    glass_mm : float or array [mm]
    outside_film_w_per_m2_k : float or array [W/(m2 K)]
        8.29 for an upright pane, 6.13 for a bottom free to the air.

    Returns
    -------
    float or array [W/(m2 K)]
    """
    resistance = (
        1.0 / WATER_SIDE_W_PER_M2_K
        + 1e-3 * glass_mm / GLASS_W_PER_M_K
        + 1.0 / outside_film_w_per_m2_k
    )
    return 1.0 / resistance


@sourced("engineering_handbook", where="radiation plus 1.52 dT^(1/3) above a warm plate")
def surface_conductance_w_per_m2_k(water_c: Numbers, air_c: Numbers) -> Numbers:
    """Heat from an open surface besides evaporation: radiation and convection.

    Parameters
    ----------
    water_c : float or array [degC]
    air_c : float or array [degC]

    Returns
    -------
    float or array [W/(m2 K)]
    """
    xp = namespace(water_c, air_c)
    mean_k = 0.5 * (water_c + air_c) + KELVIN_OFFSET
    radiation = 4.0 * WATER_EMISSIVITY * STEFAN_BOLTZMANN_W_PER_M2_K4 * mean_k**3
    # The cube root has no slope at zero difference; a microkelvin keeps gradients finite.
    return radiation + 1.52 * xp.cbrt(xp.maximum(abs(water_c - air_c), 1e-6))


class HeatLoss(NamedTuple):
    """Where the heat goes [W], and the water that goes with it [kg/d]."""

    evaporation_w: Numbers
    sides_w: Numbers
    bottom_w: Numbers
    surface_w: Numbers
    evaporation_kg_per_d: Numbers

    @property
    def total_w(self) -> Numbers:
        """All heat lost [W]."""
        return self.evaporation_w + self.sides_w + self.bottom_w + self.surface_w


class TankFaces(NamedTuple):
    """Faces of a box of water [m2] and its glass [mm]."""

    sides_m2: Numbers
    bottom_m2: Numbers
    surface_m2: Numbers
    glass_mm: Numbers


def faces_of_box(
    length_m: Numbers, width_m: Numbers, water_depth_m: Numbers, glass_mm: Numbers
) -> TankFaces:
    """Faces of a rectangular tank.

    Parameters
    ----------
    length_m, width_m, water_depth_m : float or array [m]
    glass_mm : float or array [mm]

    Returns
    -------
    TankFaces
    """
    floor = length_m * width_m
    return TankFaces(2.0 * (length_m + width_m) * water_depth_m, floor, floor, glass_mm)


def heat_loss(
    faces: TankFaces,
    water_c: Numbers,
    room_c: Numbers,
    relative_humidity: Numbers = 0.5,
    surface_factor: Numbers = QUIET_SURFACE,
    lid_closed: Numbers = 0.0,
) -> HeatLoss:
    """Heat a tank with its bottom free to the air loses to the room.

    Parameters
    ----------
    faces : TankFaces
    water_c : float or array [degC]
    room_c : float or array [degC]
    relative_humidity : float or array [-]
    surface_factor : float or array [-]
    lid_closed : float or array [-]
        0 open, 1 tight: share of the evaporation and of the surface's other loss held back.

    Returns
    -------
    HeatLoss
        Negative where the room is the warmer.
    """
    gap = water_c - room_c
    open_share = 1.0 - lid_closed
    water = (
        open_share
        * faces.surface_m2
        * evaporation_kg_per_m2_h(water_c, room_c, relative_humidity, surface_factor)
    )
    bottom_u = pane_conductance_w_per_m2_k(faces.glass_mm, HEAT_DOWN_FILM_W_PER_M2_K)
    surface_u = surface_conductance_w_per_m2_k(water_c, room_c)
    return HeatLoss(
        evaporation_w=water * latent_heat_kj_per_kg(water_c) / 3.6,
        sides_w=faces.sides_m2 * pane_conductance_w_per_m2_k(faces.glass_mm) * gap,
        bottom_w=faces.bottom_m2 * bottom_u * gap,
        surface_w=open_share * faces.surface_m2 * surface_u * gap,
        evaporation_kg_per_d=24.0 * water,
    )


def heater_duty(loss_w: Numbers, heater_w: Numbers) -> Numbers:
    """Share of the time a thermostat keeps its heater on.

    Parameters
    ----------
    loss_w : float or array [W]
        At the set point.
    heater_w : float or array [W]

    Returns
    -------
    float or array [-]
        0 to 1; at 1 the heater cannot hold the set point.
    """
    xp = namespace(loss_w, heater_w)
    return xp.clip(loss_w / heater_w, 0.0, 1.0)


def warming_c_per_h(power_w: Numbers, water_kg: Numbers) -> Numbers:
    """How fast a net heat flow changes the temperature of so much water.

    Parameters
    ----------
    power_w : float or array [W]
        Heater less loss; negative cools.
    water_kg : float or array [kg]

    Returns
    -------
    float or array [degC/h]
    """
    return 3600.0 * power_w / (WATER_HEAT_J_PER_KG_K * water_kg)
