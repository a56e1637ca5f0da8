"""Exact conversion constants; masses are the IUPAC values rounded as in published tables.

Source keys: ``wieser2006`` for atomic masses, ``si_units_nist811`` for defined units.
"""

from __future__ import annotations

from typing import Final

# Atomic masses [g/mol]
HYDROGEN: Final = 1.00794
CARBON: Final = 12.0107
NITROGEN: Final = 14.0067
OXYGEN: Final = 15.9994
SODIUM: Final = 22.98976928
MAGNESIUM: Final = 24.3050
PHOSPHORUS: Final = 30.973762
SULFUR: Final = 32.065
CHLORINE: Final = 35.453
POTASSIUM: Final = 39.0983
CALCIUM: Final = 40.078

# Molar masses [g/mol]
WATER: Final = 2 * HYDROGEN + OXYGEN
AMMONIA: Final = NITROGEN + 3 * HYDROGEN
AMMONIUM: Final = NITROGEN + 4 * HYDROGEN
NITRITE: Final = NITROGEN + 2 * OXYGEN
NITRATE: Final = NITROGEN + 3 * OXYGEN
PHOSPHATE: Final = PHOSPHORUS + 4 * OXYGEN
DIOXYGEN: Final = 2 * OXYGEN
DICHLORINE: Final = 2 * CHLORINE
CARBON_DIOXIDE: Final = CARBON + 2 * OXYGEN
BICARBONATE: Final = HYDROGEN + CARBON + 3 * OXYGEN
CALCIUM_OXIDE: Final = CALCIUM + OXYGEN
CALCIUM_CARBONATE: Final = CALCIUM + CARBON + 3 * OXYGEN

# Mass of ion per mass of nitrogen or phosphorus
NH3_PER_N: Final = AMMONIA / NITROGEN
NH4_PER_N: Final = AMMONIUM / NITROGEN
NO2_PER_N: Final = NITRITE / NITROGEN
NO3_PER_N: Final = NITRATE / NITROGEN
PO4_PER_P: Final = PHOSPHATE / PHOSPHORUS

# Defined units
CM_PER_INCH: Final = 2.54
CM_PER_FOOT: Final = 12 * CM_PER_INCH
L_PER_US_GALLON: Final = 3.785411784
L_PER_IMPERIAL_GALLON: Final = 4.54609
L_PER_US_QUART: Final = L_PER_US_GALLON / 4
ML_PER_US_FLUID_OUNCE: Final = 29.5735295625
L_PER_CUBIC_FOOT: Final = CM_PER_FOOT**3 / 1000
G_PER_POUND: Final = 453.59237
G_PER_OUNCE: Final = G_PER_POUND / 16
MG_PER_GRAIN: Final = 64.79891
HOURS_PER_DAY: Final = 24.0

# Hardness: one German degree is 10 mg CaO/L, whether of alkalinity or of Ca + Mg
MEQ_PER_L_PER_DKH: Final = 2 * 10 / CALCIUM_OXIDE
MMOL_PER_L_PER_DGH: Final = 10 / CALCIUM_OXIDE
MG_CACO3_PER_DEGREE: Final = 10 * CALCIUM_CARBONATE / CALCIUM_OXIDE
MG_HCO3_PER_DKH: Final = MEQ_PER_L_PER_DKH * BICARBONATE
MG_CACO3_PER_FRENCH_DEGREE: Final = 10.0
MG_CACO3_PER_ENGLISH_DEGREE: Final = MG_PER_GRAIN / L_PER_IMPERIAL_GALLON
MG_CACO3_PER_GRAIN_PER_US_GALLON: Final = MG_PER_GRAIN / L_PER_US_GALLON


def celsius_from_fahrenheit(temperature_f: float) -> float:
    """Temperature [degC] of a temperature in [degF]."""
    return (temperature_f - 32.0) / 1.8


def fahrenheit_from_celsius(temperature_c: float) -> float:
    """Temperature [degF] of a temperature in [degC]."""
    return temperature_c * 1.8 + 32.0
