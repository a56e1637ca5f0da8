"""Equilibrium constants of the freshwater carbonate system, and their working form at a pH meter.

All logarithms are decimal. A litre is taken as a kilogram of water (fresh water, under 0.5 %,
which cancels from pH because alkalinity and carbon share it).
"""

from __future__ import annotations

from typing import NamedTuple

from watervane.chemistry._arrays import KELVIN_OFFSET, Numbers, namespace
from watervane.chemistry.activity import log10_activity_davies
from watervane.chemistry.ammonia import (
    ammonium_pka_emerson1975,
    nitrous_acid_pka_anthonisen1976,
)
from watervane.reference import sourced

_RANGE = {"temperature_c": (0.0, 90.0)}


def _fit(t: Numbers, a: float, b: float, c: float, d: float, e: float) -> Numbers:
    """Evaluate ``a + b T + c/T + d log10(T) + e/T^2``, the form these constants are printed in."""
    xp = namespace(t)
    kelvin = t + KELVIN_OFFSET
    return a + b * kelvin + c / kelvin + d * xp.log10(kelvin) + e / kelvin**2


@sourced("plummer_busenberg1982", where="CO2(aq) + H2O = H+ + HCO3-", valid=_RANGE)
def log10_k1(temperature_c: Numbers) -> Numbers:
    """First dissociation constant of carbonic acid, log10 [mol/kg].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, -356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0)


@sourced("plummer_busenberg1982", where="HCO3- = H+ + CO3--", valid=_RANGE)
def log10_k2(temperature_c: Numbers) -> Numbers:
    """Second dissociation constant of carbonic acid, log10 [mol/kg].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, -107.8871, -0.03252849, 5151.79, 38.92561, -563713.9)


@sourced("plummer_busenberg1982", where="CO2(g) = CO2(aq)", valid=_RANGE)
def log10_henry_co2(temperature_c: Numbers) -> Numbers:
    """Solubility of CO2, log10 [mol/(kg atm)].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, 108.3865, 0.01985076, -6919.53, -40.45154, 669365.0)


@sourced("plummer_busenberg1982", where="calcite = Ca++ + CO3--", valid=_RANGE)
def log10_solubility_calcite(temperature_c: Numbers) -> Numbers:
    """Solubility product of calcite, log10 [(mol/kg)^2].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, -171.9065, -0.077993, 2839.319, 71.595, 0.0)


@sourced("plummer_busenberg1982", where="aragonite = Ca++ + CO3--", valid=_RANGE)
def log10_solubility_aragonite(temperature_c: Numbers) -> Numbers:
    """Solubility product of aragonite, log10 [(mol/kg)^2].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, -171.9773, -0.077993, 2903.293, 71.595, 0.0)


@sourced("harned_owen1958", where="H2O = H+ + OH-", valid={"temperature_c": (0.0, 60.0)})
def log10_kw(temperature_c: Numbers) -> Numbers:
    """Ion product of water, log10 [(mol/kg)^2].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, -283.9710, -0.05069842, 13323.0, 102.24447, -1119669.0)


@sourced("plummer_busenberg1982", where="Ca++ + HCO3- = CaHCO3+", valid=_RANGE)
def log10_pairing_calcium_bicarbonate(temperature_c: Numbers) -> Numbers:
    """Association constant of the pair CaHCO3+, log10 [kg/mol].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, 1209.120, 0.31294, -34765.05, -478.782, 0.0)


@sourced("plummer_busenberg1982", where="Ca++ + CO3-- = CaCO3(aq)", valid=_RANGE)
def log10_pairing_calcium_carbonate(temperature_c: Numbers) -> Numbers:
    """Association constant of the dissolved pair CaCO3, log10 [kg/mol].

    Parameters
    ----------
    temperature_c : float or array [degC]
    """
    return _fit(temperature_c, -1228.732, -0.299444, 35512.75, 485.818, 0.0)


class CarbonateConstants(NamedTuple):
    """Constants in the mixed form a pH meter wants: activity of H+, amounts of everything else.

    ``k1 = 10^-pH [HCO3]/[CO2]``, ``k2 = 10^-pH [CO3]/[HCO3]``, ``kw = 10^-pH [OH]``,
    ``kn = 10^-pH [NH3]/[NH4]``, ``ki = 10^-pH [NO2]/[HNO2]``; `gamma` turns an amount of H+ into
    its activity. Bicarbonate and carbonate held by calcium are counted in [HCO3] and [CO3], as a
    titration counts them. Fields are floats or arrays [mol/L]; the tuple passes through ``jit``.
    """

    k1: Numbers
    k2: Numbers
    kw: Numbers
    kn: Numbers
    ki: Numbers
    gamma: Numbers


class IdealConstants(NamedTuple):
    """The same constants without activity correction or pairs: functions of temperature alone."""

    k1: Numbers
    k2: Numbers
    kw: Numbers
    kn: Numbers
    ki: Numbers
    pairing_bicarbonate: Numbers
    pairing_carbonate: Numbers


def ideal_constants(temperature_c: Numbers) -> IdealConstants:
    """Constants at no ionic strength.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    IdealConstants
    """
    return IdealConstants(
        k1=10.0 ** log10_k1(temperature_c),
        k2=10.0 ** log10_k2(temperature_c),
        kw=10.0 ** log10_kw(temperature_c),
        kn=10.0 ** -ammonium_pka_emerson1975(temperature_c),
        ki=10.0 ** -nitrous_acid_pka_anthonisen1976(temperature_c),
        pairing_bicarbonate=10.0 ** log10_pairing_calcium_bicarbonate(temperature_c),
        pairing_carbonate=10.0 ** log10_pairing_calcium_carbonate(temperature_c),
    )


def constants_in_water(
    ideal: IdealConstants, activity: Numbers, calcium_mmol_per_l: Numbers
) -> CarbonateConstants:
    """Correct ideal constants for the ions of one water.

    Parameters
    ----------
    ideal : IdealConstants
    activity : float or array [-]
        Activity coefficient of a singly charged ion.
    calcium_mmol_per_l : float or array [mmol/L]

    Returns
    -------
    CarbonateConstants
    """
    xp = namespace(*ideal, activity, calcium_mmol_per_l)
    calcium = 1e-3 * calcium_mmol_per_l
    # CaHCO3+: charges 2,1 -> 1 (4 + 1 - 1 = 4 g1); CaCO3: charges 2,2 -> 0 (8 g1).
    fourth = (activity * activity) * (activity * activity)
    with_bicarbonate = 1.0 + calcium * ideal.pairing_bicarbonate * fourth
    with_carbonate = 1.0 + calcium * ideal.pairing_carbonate * (fourth * fourth)
    inverse = 1.0 / activity
    return CarbonateConstants(
        k1=ideal.k1 * inverse * with_bicarbonate,
        k2=ideal.k2 * (inverse * inverse * inverse) * with_carbonate / with_bicarbonate,
        kw=ideal.kw * inverse,
        kn=ideal.kn * activity,
        ki=ideal.ki * inverse,
        gamma=activity + xp.zeros_like(calcium),
    )


def carbonate_constants(
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
    calcium_mmol_per_l: Numbers = 0.0,
) -> CarbonateConstants:
    """Compute once, at one temperature and ionic strength, what every pH question needs.

    Parameters
    ----------
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
        Zero gives the ideal system without activity correction.
    calcium_mmol_per_l : float or array [mmol/L]
        Hard water binds a little bicarbonate and carbonate to calcium; up to 0.02 of pH.

    Returns
    -------
    CarbonateConstants

    Notes
    -----
    Free calcium is taken as all calcium: the share bound is a few per cent in hard water.
    """
    log_g1 = log10_activity_davies(temperature_c, ionic_strength_mol_per_l)
    return constants_in_water(ideal_constants(temperature_c), 10.0**log_g1, calcium_mmol_per_l)
