"""Keys of a water that is poured in: the source water, or that of one water change."""

from __future__ import annotations

from watervane.exchange.forms import Key, Level, Quantity, Table
from watervane.exchange.quantities import parse_salinity_g_per_kg
from watervane.units import parse_temperature_c

TEMPERATURE = Quantity(parse_temperature_c, "degC", "25 degC")


def _level(name: str, example: str, field: str, about: str) -> Key:
    return Key(name, Level(name, example), about, field)


SOURCE_WATER = Table(
    "[source_water]",
    (
        _level("ph", "7.6", "ph", "pH, left standing overnight if you can"),
        _level("kh", "5 dKH", "kh_dkh", "carbonate hardness (alkalinity)"),
        _level("gh", "8 dGH", "gh_dgh", "general hardness"),
        _level("ammonia", "0 mg/L as N", "ammonia_mg_n_per_l", "ammonia"),
        _level("nitrite", "0 mg/L as N", "nitrite_mg_n_per_l", "nitrite"),
        _level("nitrate", "5 mg/L", "nitrate_mg_n_per_l", "as the ion unless 'as N' is written"),
        _level("chlorine", "0.5 mg/L", "chlorine_mg_per_l", "free chlorine, as Cl2"),
        _level("chloramine", "1.5 mg/L", "chloramine_mg_per_l", "as Cl2"),
        _level("chloride", "20 mg/L", "chloride_mg_per_l", "chloride, not chlorine"),
        _level("conductivity", "450 uS/cm", "conductivity_us_per_cm", "at 25 degC"),
        Key("temperature", TEMPERATURE, "as it is poured in", "temperature_c"),
        Key(
            "salinity",
            Quantity(parse_salinity_g_per_kg, "g/kg", "2 g/kg"),
            "salt of brackish or marine water",
            "salinity_g_per_kg",
        ),
    ),
)
