"""How much of the total ammonia is un-ionised, and of the nitrite nitrous acid.

The state of a tank is read with a pH meter or kit calibrated on buffers, so every fraction here
takes pH on that scale (NBS, activity of H+).
"""

from __future__ import annotations

from watervane.chemistry._arrays import KELVIN_OFFSET, LN10, Numbers, namespace
from watervane.chemistry.activity import (
    ionic_strength_of_salinity,
    log10_activity_davies,
)
from watervane.chemistry.ph_scales import nbs_minus_total
from watervane.reference import sourced


@sourced(
    "emerson1975",
    where="p. 2382, pKa = 0.09018 + 2729.92/T",
    valid={"temperature_c": (0, 50)},
)
def ammonium_pka_emerson1975(temperature_c: Numbers) -> Numbers:
    """Give the pKa of ammonium in fresh water at zero ionic strength.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [-]

    Notes
    -----
    A widely copied manual page prints the slope as 2727.92; that is a misprint.
    """
    return 0.09018 + 2729.92 / (temperature_c + KELVIN_OFFSET)


@sourced(
    "clegg_whitfield1995",
    where="eq. 18",
    valid={"temperature_c": (-2.0, 40.0), "salinity": (0.0, 40.0)},
)
def ammonium_pka_clegg1995(temperature_c: Numbers, salinity: Numbers) -> Numbers:
    """Give the pKa of ammonium in sea water on the total scale, amounts per kg of sea water.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [-]
    """
    xp = namespace(temperature_c, salinity)
    kelvin = temperature_c + KELVIN_OFFSET
    root_t = xp.sqrt(kelvin)
    root_s = xp.sqrt(salinity)
    per_kg_water = (
        9.244605
        - 2729.33 * (1.0 / 298.15 - 1.0 / kelvin)
        + (0.04203362 - 11.24742 / kelvin) * xp.sqrt(root_s)
        + (-13.6416 + 1.176949 * root_t - 0.02860785 * kelvin + 545.4834 / kelvin) * root_s
        + (-0.1462507 + 0.0090226468 * root_t - 0.0001471361 * kelvin + 10.5425 / kelvin)
        * root_s**3
        + (0.004669309 - 0.0001691742 * root_t - 0.5677934 / kelvin) * salinity**2
        + (-2.354039e-5 + 0.009698623 / kelvin) * root_s**5
    )
    return per_kg_water - xp.log10(1.0 - 0.001005 * salinity)


def ammonium_pka(
    temperature_c: Numbers,
    salinity: Numbers = 0.0,
    ionic_strength_mol_per_l: Numbers = 0.0,
) -> Numbers:
    """Give the pKa of ammonium as a buffer-calibrated pH meter sees it, fresh to marine.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]
    ionic_strength_mol_per_l : float or array [mol/L]
        Of the fresh water; zero leaves Emerson's value.

    Returns
    -------
    float or array [-]

    Notes
    -----
    Up to 2 g/kg Emerson with Davies' activity of NH4+; from 5 g/kg Clegg & Whitfield, moved to
    the NBS scale; in between the two are joined linearly (our choice: neither paper covers it,
    and they differ there by about 0.02).
    """
    xp = namespace(temperature_c, salinity, ionic_strength_mol_per_l)
    strength = xp.maximum(ionic_strength_mol_per_l, ionic_strength_of_salinity(salinity))
    fresh = ammonium_pka_emerson1975(temperature_c) - log10_activity_davies(
        temperature_c, xp.minimum(strength, 0.12)
    )
    sea = xp.maximum(salinity, 1.0)
    marine = ammonium_pka_clegg1995(temperature_c, sea) + nbs_minus_total(temperature_c, sea)
    share = xp.clip((salinity - 2.0) / 3.0, 0.0, 1.0)
    return (1.0 - share) * fresh + share * marine


def fraction_deprotonated(ph: Numbers, pka: Numbers) -> Numbers:
    """Share of a weak acid that has lost its proton, ``1/(1 + 10^(pKa - pH))``.

    Parameters
    ----------
    ph : float or array [-]
    pka : float or array [-]
        On the same scale.

    Returns
    -------
    float or array [-]
    """
    return 1.0 / (1.0 + 10.0 ** (pka - ph))


def free_ammonia_fraction(
    ph: Numbers,
    temperature_c: Numbers,
    salinity: Numbers = 0.0,
    ionic_strength_mol_per_l: Numbers = 0.0,
) -> Numbers:
    """Share of total ammonia nitrogen present as un-ionised NH3.

    Parameters
    ----------
    ph : float or array [-]
        NBS (meter) scale.
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]
    ionic_strength_mol_per_l : float or array [mol/L]

    Returns
    -------
    float or array [-]
    """
    return fraction_deprotonated(
        ph, ammonium_pka(temperature_c, salinity, ionic_strength_mol_per_l)
    )


@sourced(
    "anthonisen1976",
    where="FA = (17/14) TAN 10^pH / (exp(6344/(273 + t)) + 10^pH)",
    valid={"temperature_c": (5.0, 35.0), "ph": (5.0, 9.5)},
)
def free_ammonia_anthonisen1976(
    ammonia_mg_n_per_l: Numbers, ph: Numbers, temperature_c: Numbers
) -> Numbers:
    """Free ammonia as the inhibition literature counts it.

    Parameters
    ----------
    ammonia_mg_n_per_l : float or array [mg N/L]
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [mg NH3/L]
    """
    xp = namespace(ammonia_mg_n_per_l, ph, temperature_c)
    power = 10.0**ph
    return (
        17.0
        / 14.0
        * ammonia_mg_n_per_l
        * power
        / (xp.exp(6344.0 / (273.0 + temperature_c)) + power)
    )


@sourced(
    "anthonisen1976",
    where="FNA = (46/14) NO2-N / (exp(-2300/(273 + t)) 10^pH)",
    valid={"temperature_c": (5.0, 35.0), "ph": (5.0, 9.5)},
)
def free_nitrous_acid_anthonisen1976(
    nitrite_mg_n_per_l: Numbers, ph: Numbers, temperature_c: Numbers
) -> Numbers:
    """Free nitrous acid as the inhibition literature counts it.

    Parameters
    ----------
    nitrite_mg_n_per_l : float or array [mg N/L]
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [mg HNO2/L]

    Notes
    -----
    The printed form leaves out the acid's own share, so it exceeds all nitrite below pH 3.4.
    """
    xp = namespace(nitrite_mg_n_per_l, ph, temperature_c)
    return 46.0 / 14.0 * nitrite_mg_n_per_l / (xp.exp(-2300.0 / (273.0 + temperature_c)) * 10.0**ph)


@sourced(
    "anthonisen1976",
    where="K = exp(-2300/(273 + t))",
    valid={"temperature_c": (5.0, 35.0)},
)
def nitrous_acid_pka_anthonisen1976(temperature_c: Numbers) -> Numbers:
    """Give the pKa of nitrous acid, 3.35 at 25 degC.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [-]
    """
    return 2300.0 / (273.0 + temperature_c) / LN10


def nitrous_acid_fraction(ph: Numbers, temperature_c: Numbers) -> Numbers:
    """Share of total nitrite nitrogen present as undissociated HNO2.

    Parameters
    ----------
    ph : float or array [-]
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [-]
    """
    return fraction_deprotonated(nitrous_acid_pka_anthonisen1976(temperature_c), ph)
