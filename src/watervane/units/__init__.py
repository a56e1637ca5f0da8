"""A closed grammar for what keepers write: number, unit, basis; parse and print."""

from watervane.units._values import QUANTITY_UNITS, ReadingValue, Span
from watervane.units.concentrations import parse_concentration
from watervane.units.errors import UnitError
from watervane.units.food import parse_food
from watervane.units.plain import (
    parse_altitude_m,
    parse_days,
    parse_duration_h,
    parse_flow_l_per_h,
    parse_hardness_dgh,
    parse_hardness_dkh,
    parse_length_cm,
    parse_mass_g,
    parse_power_w,
    parse_temperature_c,
    parse_volume_l,
)
from watervane.units.printing import format_quantity, format_reading
from watervane.units.readings import parse_reading, parse_scale

__all__ = [
    "QUANTITY_UNITS",
    "ReadingValue",
    "Span",
    "UnitError",
    "format_quantity",
    "format_reading",
    "parse_altitude_m",
    "parse_concentration",
    "parse_days",
    "parse_duration_h",
    "parse_flow_l_per_h",
    "parse_food",
    "parse_hardness_dgh",
    "parse_hardness_dkh",
    "parse_length_cm",
    "parse_mass_g",
    "parse_power_w",
    "parse_reading",
    "parse_scale",
    "parse_temperature_c",
    "parse_volume_l",
]
