"""Inverses and readings of the carbonate system: carbon, CO2, KH and calcite from a known pH."""

from __future__ import annotations

from watervane.chemistry._arrays import LN10, Numbers, namespace
from watervane.chemistry._root import rising_root
from watervane.chemistry.activity import log10_activity_davies
from watervane.chemistry.carbonate import HIGHEST_PH, LOWEST_PH, speciate
from watervane.chemistry.carbonate_constants import (
    carbonate_constants,
    log10_pairing_calcium_bicarbonate,
    log10_pairing_calcium_carbonate,
    log10_solubility_calcite,
)
from watervane.units.conversions import CARBON_DIOXIDE, NITROGEN


def inorganic_carbon_from_ph(
    ph: Numbers,
    alkalinity_meq_per_l: Numbers,
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
    ammonia_mg_n_per_l: Numbers = 0.0,
    nitrite_mg_n_per_l: Numbers = 0.0,
    calcium_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Find the dissolved inorganic carbon that goes with a pH and an alkalinity.

    Parameters
    ----------
    ph : float or array [-]
    alkalinity_meq_per_l : float or array [meq/L]
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
    ammonia_mg_n_per_l : float or array [mg N/L]
    nitrite_mg_n_per_l : float or array [mg N/L]
    calcium_mmol_per_l : float or array [mmol/L]

    Returns
    -------
    float or array [mmol/L]
        Negative where pH and alkalinity contradict each other (more base than carbon explains).
    """
    constants = carbonate_constants(temperature_c, ionic_strength_mol_per_l, calcium_mmol_per_l)
    unit = speciate(
        constants,
        ph,
        1.0,
        ammonia_mg_n_per_l / NITROGEN,
        nitrite_mg_n_per_l / NITROGEN,
    )
    charge = unit.bicarbonate + 2.0 * unit.carbonate
    return (alkalinity_meq_per_l - (unit.alkalinity_meq_per_l - charge)) / charge


def alkalinity_from_ph_and_co2(
    ph: Numbers,
    co2_mg_per_l: Numbers,
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
    ammonia_mg_n_per_l: Numbers = 0.0,
    calcium_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Find the alkalinity that goes with a pH and a dissolved CO2.

    Parameters
    ----------
    ph : float or array [-]
    co2_mg_per_l : float or array [mg CO2/L]
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
    ammonia_mg_n_per_l : float or array [mg N/L]
    calcium_mmol_per_l : float or array [mmol/L]

    Returns
    -------
    float or array [meq/L]
    """
    constants = carbonate_constants(temperature_c, ionic_strength_mol_per_l, calcium_mmol_per_l)
    unit = speciate(constants, ph, 1.0)
    carbon = co2_mg_per_l / CARBON_DIOXIDE / unit.co2
    return speciate(constants, ph, carbon, ammonia_mg_n_per_l / NITROGEN).alkalinity_meq_per_l


def co2_mg_per_l(
    ph: Numbers,
    alkalinity_meq_per_l: Numbers,
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
    ammonia_mg_n_per_l: Numbers = 0.0,
    calcium_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Dissolved CO2 from pH and alkalinity.

    Parameters
    ----------
    ph : float or array [-]
    alkalinity_meq_per_l : float or array [meq/L]
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
    ammonia_mg_n_per_l : float or array [mg N/L]
    calcium_mmol_per_l : float or array [mmol/L]

    Returns
    -------
    float or array [mg CO2/L]
        Wrong where other weak acids (humic acids, phosphate) carry alkalinity.
    """
    carbon = inorganic_carbon_from_ph(
        ph,
        alkalinity_meq_per_l,
        temperature_c,
        ionic_strength_mol_per_l,
        ammonia_mg_n_per_l,
        calcium_mmol_per_l=calcium_mmol_per_l,
    )
    constants = carbonate_constants(temperature_c, ionic_strength_mol_per_l, calcium_mmol_per_l)
    return CARBON_DIOXIDE * speciate(constants, ph, carbon).co2


def ph_from_alkalinity_and_co2(
    alkalinity_meq_per_l: Numbers,
    co2_mg_per_l: Numbers,
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
    ammonia_mg_n_per_l: Numbers = 0.0,
    calcium_mmol_per_l: Numbers = 0.0,
    iterations: int = 12,
) -> Numbers:
    """Find pH from alkalinity where dissolved CO2 is known, as in water that stands with air.

    Parameters
    ----------
    alkalinity_meq_per_l : float or array [meq/L]
    co2_mg_per_l : float or array [mg CO2/L]
        Above zero.
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
    ammonia_mg_n_per_l : float or array [mg N/L]
    calcium_mmol_per_l : float or array [mmol/L]
    iterations : int

    Returns
    -------
    float or array [-]
    """
    k1, k2, kw, kn, _, gamma = carbonate_constants(
        temperature_c, ionic_strength_mol_per_l, calcium_mmol_per_l
    )
    alkalinity, ammonia = alkalinity_meq_per_l, ammonia_mg_n_per_l / NITROGEN
    co2 = co2_mg_per_l / CARBON_DIOXIDE
    xp = namespace(alkalinity, co2, ammonia, k1, gamma)
    acid_side, base_side = xp.maximum(alkalinity, 0.0), xp.maximum(-alkalinity, 0.0)
    zero = 0.0 * (alkalinity + co2 + ammonia + k1 + gamma)

    def imbalance(x: Numbers) -> tuple[Numbers, Numbers]:
        h = xp.exp(x)
        bicarbonate, hydroxide, hydrogen = k1 * co2 / h, 1e3 * kw / h, 1e3 * h / gamma
        carbonate, free = bicarbonate * k2 / h, ammonia * kn / (kn + h)
        acids = acid_side + hydrogen
        bases = base_side + bicarbonate + 2.0 * carbonate + hydroxide + free
        base_slope = bicarbonate + 4.0 * carbonate + hydroxide + free * h / (kn + h)
        return xp.log(acids / bases), hydrogen / acids + base_slope / bases

    # Between the pH of the strongest acid and of the strongest base a tank could meet.
    root = rising_root(
        imbalance,
        zero - LN10 * 7.0,
        zero - LN10 * HIGHEST_PH,
        zero - LN10 * LOWEST_PH,
        iterations,
    )
    return -root / LN10


def calcite_saturation_index(
    ph: Numbers,
    alkalinity_meq_per_l: Numbers,
    calcium_mmol_per_l: Numbers,
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
) -> Numbers:
    """Tell whether water would dissolve limestone (below zero) or form it (above zero).

    Parameters
    ----------
    ph : float or array [-]
    alkalinity_meq_per_l : float or array [meq/L]
    calcium_mmol_per_l : float or array [mmol/L]
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]

    Returns
    -------
    float or array [-]
        ``log10`` of the ion activity product over the solubility product.
    """
    xp = namespace(
        ph,
        alkalinity_meq_per_l,
        calcium_mmol_per_l,
        temperature_c,
        ionic_strength_mol_per_l,
    )
    carbon = inorganic_carbon_from_ph(
        ph,
        alkalinity_meq_per_l,
        temperature_c,
        ionic_strength_mol_per_l,
        calcium_mmol_per_l=calcium_mmol_per_l,
    )
    constants = carbonate_constants(temperature_c, ionic_strength_mol_per_l, calcium_mmol_per_l)
    parts = speciate(constants, ph, carbon)
    log_g1 = log10_activity_davies(temperature_c, ionic_strength_mol_per_l)
    pair_one = 10.0 ** (log10_pairing_calcium_bicarbonate(temperature_c) + 4.0 * log_g1)
    pair_two = 10.0 ** (log10_pairing_calcium_carbonate(temperature_c) + 8.0 * log_g1)
    total_calcium = 1e-3 * calcium_mmol_per_l
    carbonate = 1e-3 * parts.carbonate / (1.0 + pair_two * total_calcium)
    bicarbonate = 1e-3 * parts.bicarbonate / (1.0 + pair_one * total_calcium)
    calcium = total_calcium / (1.0 + pair_one * bicarbonate + pair_two * carbonate)
    product = xp.log10(calcium) + xp.log10(carbonate) + 8.0 * log_g1
    return product - log10_solubility_calcite(temperature_c)
