"""The ions of fresh water by name, and a water as it is after a day in contact with air."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from watervane.chemistry.activity import log10_activity_davies
from watervane.chemistry.conductivity import conductivity_us_per_cm_25, ionic_strength_of
from watervane.chemistry.dissolved_carbon import (
    calcite_saturation_index,
    ph_from_alkalinity_and_co2,
)
from watervane.chemistry.gases import co2_saturation_mg_per_l, standard_pressure_atm
from watervane.chemistry.hardness import MEQ_PER_DKH, MMOL_PER_DGH
from watervane.chemistry.salts import SALTS
from watervane.records import AiredWater
from watervane.reference import sourced
from watervane.units import conversions as mass

KCAL_PER_MOL_K = 1.98720e-3  # gas constant
LN10 = 2.302585092994046
PAIRING_ROUNDS = 12
SULFATE = mass.SULFUR + 4 * mass.OXYGEN
MG_PER_MMOL: Mapping[str, float] = MappingProxyType(
    {
        "calcium": mass.CALCIUM,
        "magnesium": mass.MAGNESIUM,
        "sodium": mass.SODIUM,
        "potassium": mass.POTASSIUM,
        "chloride": mass.CHLORINE,
        "sulfate": SULFATE,
        "nitrate": mass.NITROGEN,
        "ammonium": mass.NITROGEN,
    }
)
CHARGES: Mapping[str, int] = MappingProxyType(
    {
        "calcium": 2,
        "magnesium": 2,
        "sodium": 1,
        "potassium": 1,
        "ammonium": 1,
        "bicarbonate": -1,
        "chloride": -1,
        "sulfate": -2,
        "nitrate": -1,
    }
)
# What one mmol/L of an ion adds to each quantity a target may bound.
MEASURES: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "gh": {"calcium": 1.0 / MMOL_PER_DGH, "magnesium": 1.0 / MMOL_PER_DGH},
        "kh": {"bicarbonate": 1.0 / MEQ_PER_DKH},
        **{
            name: {name: MG_PER_MMOL[name]}
            for name in (
                "sodium",
                "potassium",
                "chloride",
                "sulfate",
                "nitrate",
                "calcium",
                "magnesium",
            )
        },
    }
)
# The same, and pH, by the size of a difference a keeper would notice.
NOTICED: Mapping[str, float] = MappingProxyType(
    {
        "gh": 1.0,
        "kh": 0.5,
        "ph": 0.2,
        "sodium": 10.0,
        "potassium": 5.0,
        "chloride": 15.0,
        "sulfate": 20.0,
        "nitrate": 1.0,
        "calcium": 7.0,
        "magnesium": 3.0,
    }
)


def ions_of_salt(salt: str) -> dict[str, float]:
    """Moles of each ion in one mole of a salt of `watervane.chemistry.salts`."""
    parts = SALTS[salt]
    found = {
        "calcium": parts.calcium,
        "magnesium": parts.magnesium,
        "sodium": parts.sodium,
        "potassium": parts.potassium,
        "chloride": parts.chloride,
        "sulfate": parts.sulfate,
        "nitrate": parts.nitrate,
        "ammonium": parts.ammonia,
        "bicarbonate": parts.alkalinity_eq,
    }
    return {name: moles for name, moles in found.items() if moles}


def charge_meq_per_l(ions: Mapping[str, float]) -> tuple[float, float]:
    """Cations and anions of ions in mmol/L. [meq/L]"""
    charges = [CHARGES[name] * amount for name, amount in ions.items()]
    return sum(c for c in charges if c > 0), -sum(c for c in charges if c < 0)


def measured(quantity: str, ions: Mapping[str, float]) -> float:
    """One quantity of `MEASURES` of ions in mmol/L, in its own unit."""
    return sum(factor * ions.get(name, 0.0) for name, factor in MEASURES[quantity].items())


def mixed(parts: list[tuple[Mapping[str, float], float]]) -> dict[str, float]:
    """Ions of amounts of waters and salts put together, all per litre. [mmol/L]"""
    names = {name for ions, _ in parts for name in ions}
    return {name: sum(ions.get(name, 0.0) * share for ions, share in parts) for name in names}


@sourced("phreeqc3", where="CaSO4 log k 2.25, 1.325 kcal; MgSO4 log k 2.37, 4.55 kcal")
def free_of_sulfate(ions: Mapping[str, float], temperature_c: float) -> dict[str, float]:
    """Ions less those that calcium and magnesium bind with sulfate, which act as if not there.

    Parameters
    ----------
    ions
        By name, in mmol/L.
    temperature_c
        [degC]
    """
    calcium, magnesium = ions.get("calcium", 0.0), ions.get("magnesium", 0.0)
    sulfate = ions.get("sulfate", 0.0)
    warmer = (1.0 / 298.15 - 1.0 / (temperature_c + 273.15)) / (LN10 * KCAL_PER_MOL_K)
    free = {**ions}
    for _ in range(PAIRING_ROUNDS):
        gamma = float(log10_activity_davies(temperature_c, float(ionic_strength_of(free))))
        per_mmol = [
            1e-3 * 10.0 ** (log_k + heat * warmer + 8.0 * gamma)
            for log_k, heat in ((2.25, 1.325), (2.37, 4.55))
        ]
        alone = free.get("sulfate", 0.0)
        free_calcium = calcium / (1.0 + per_mmol[0] * alone)
        free_magnesium = magnesium / (1.0 + per_mmol[1] * alone)
        bound = 1.0 + per_mmol[0] * free_calcium + per_mmol[1] * free_magnesium
        free |= {"calcium": free_calcium, "magnesium": free_magnesium, "sulfate": sulfate / bound}
    return free


def aired(
    ions: Mapping[str, float],
    temperature_c: float,
    co2_ppm: float = 420.0,
    altitude_m: float = 0.0,
) -> AiredWater:
    """A water at rest with air.

    Parameters
    ----------
    ions
        By name, in mmol/L.
    temperature_c
        [degC]
    co2_ppm
        Of the air. [umol/mol of dry air]
    altitude_m
        [m]

    Returns
    -------
    AiredWater
    """
    alkalinity = ions.get("bicarbonate", 0.0)
    free = free_of_sulfate(ions, temperature_c)
    calcium, magnesium = free.get("calcium", 0.0), free.get("magnesium", 0.0)
    strength = float(ionic_strength_of(free))
    co2 = float(co2_saturation_mg_per_l(temperature_c, co2_ppm, standard_pressure_atm(altitude_m)))
    ph = float(
        ph_from_alkalinity_and_co2(
            alkalinity,
            co2,
            temperature_c,
            strength,
            mass.NITROGEN * ions.get("ammonium", 0.0),
            calcium + magnesium,
        )
    )
    lime = min(calcium, alkalinity)
    index = (
        float(calcite_saturation_index(ph, alkalinity, calcium, temperature_c, strength))
        if lime > 1e-6
        else -9.0
    )
    return AiredWater(
        ph=ph,
        kh_dkh=measured("kh", ions),
        gh_dgh=measured("gh", ions),
        sodium_mg_per_l=measured("sodium", ions),
        potassium_mg_per_l=measured("potassium", ions),
        chloride_mg_per_l=measured("chloride", ions),
        sulfate_mg_per_l=measured("sulfate", ions),
        nitrate_mg_n_per_l=measured("nitrate", ions),
        conductivity_us_per_cm=float(conductivity_us_per_cm_25(ions)),
        calcite_index=index,
    )
