"""Temperature and evaporation over one row: a thermostat that does what it can."""

from __future__ import annotations

from watervane.process.actions import Row
from watervane.process.arrays import Array, apart, at_least, between, jnp
from watervane.process.rates.conditions import Geometry, Parameters
from watervane.process.state import TankState

WATT_DAYS_PER_L_K = 4186.0 / 86400.0 * 0.997
LATENT_WATT_DAYS_PER_L = 2.442e6 / 86400.0 * 0.997  # at 25 degC


def vapour_pressure_kpa(temperature_c: Array) -> Array:
    """Saturated vapour pressure, Magnus form (buck1981 to 0.1 % near 25 degC). [kPa]"""
    return 0.61121 * jnp.exp(17.502 * temperature_c / (240.97 + temperature_c))


@apart()
def cool_and_evaporate(
    state: TankState, row: Row, geometry: Geometry, theta: Parameters
) -> TankState:
    """Move temperature and volume to the end of the row.

    Loss to the room is linear in the gap; the heater gives between nothing and its
    full power, as much as brings the water nearest to the set point. Exact for a
    constant room, and stable for any step. Evaporation uses the vapour pressure at the
    row's start and its estimated end, hence second order.
    """
    step = row["step_d"]
    room = row["room_temperature_c"] + theta["room_temperature_deviation_c"]
    capacity = WATT_DAYS_PER_L_K * geometry["volume_l"]
    loss = geometry["heat_loss_w_per_k"]
    dry = 0.5 * vapour_pressure_kpa(room)

    def evaporation(temperature_c: Array) -> Array:
        gap = at_least(vapour_pressure_kpa(temperature_c) - dry, 0.0)
        return geometry["evaporation_l_per_d_per_kpa"] * gap

    def end_temperature(evaporated_l_per_d: Array) -> Array:
        rest = room - evaporated_l_per_d * LATENT_WATT_DAYS_PER_L / loss
        fade = jnp.exp(-loss * step / capacity)
        unheated = rest + (state.temperature_c - rest) * fade
        strongest = row["heater_running"] * geometry["heater_power_w"] / loss * (1.0 - fade)
        set_point = row["set_point_c"] + theta["set_point_deviation_c"]
        return between(set_point, unheated, unheated + strongest)

    first = evaporation(state.temperature_c)
    mean = 0.5 * (first + evaporation(end_temperature(first)))
    left = state.volume_ratio - mean * step / geometry["volume_l"]
    return state._replace(
        volume_ratio=at_least(left, 0.2 * state.volume_ratio),
        temperature_c=end_temperature(mean),
    )
