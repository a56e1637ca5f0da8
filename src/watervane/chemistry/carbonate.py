"""The freshwater carbonate system: pH from what is conserved, and the way back.

Alkalinity is what a titration finds, in meq/L:
``[HCO3] + 2 [CO3] + [OH] + [NH3] - [H] - [HNO2]``. Ammonium and nitrite are its zero level, so
dosed ammonium chloride leaves it alone, excretion of ammonia lifts it by one equivalent per mole
and oxidising ammonium takes two. pH is on the meter (activity) scale throughout.

Two solvers: `ph_from_alkalinity` finds pH from nothing and cannot leave its bracket; `solve_ph` is
a few plain Newton steps from the pH of a moment ago, for the inside of a time loop.
"""

from __future__ import annotations

from typing import NamedTuple

from watervane.chemistry._arrays import LN10, Numbers, namespace
from watervane.chemistry._root import rising_root
from watervane.chemistry.carbonate_constants import (
    CarbonateConstants,
    carbonate_constants,
)
from watervane.units.conversions import NITROGEN

LOWEST_PH, HIGHEST_PH = 0.0, 14.5


class Speciation(NamedTuple):
    """The forms present at one pH [mmol/L], with the slopes that root finding needs."""

    co2: Numbers
    bicarbonate: Numbers
    carbonate: Numbers
    ammonia: Numbers
    nitrous_acid: Numbers
    hydroxide: Numbers
    hydrogen: Numbers
    co2_share: Numbers
    """CO2 over inorganic carbon [-]."""
    mean_charge: Numbers
    """Alkalinity carried per inorganic carbon [eq/mol]."""
    base_slope: Numbers
    """Minus the slope of ``HCO3 + 2 CO3 + OH + NH3`` in ln h [meq/L]."""
    acid_slope: Numbers
    """Slope of ``H + HNO2`` in ln h [meq/L]."""

    @property
    def alkalinity_meq_per_l(self) -> Numbers:
        """Alkalinity these amounts make [meq/L]."""
        bases = self.bicarbonate + 2.0 * self.carbonate + self.hydroxide + self.ammonia
        return bases - self.hydrogen - self.nitrous_acid


def speciate(
    constants: CarbonateConstants,
    ph: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    ammonia_mmol_per_l: Numbers = 0.0,
    nitrite_mmol_per_l: Numbers = 0.0,
) -> Speciation:
    """Split the totals into their forms at a known pH.

    Parameters
    ----------
    constants : CarbonateConstants
    ph : float or array [-]
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    ammonia_mmol_per_l : float or array [mmol N/L]
        Total ammonia.
    nitrite_mmol_per_l : float or array [mmol N/L]
        Total nitrite.

    Returns
    -------
    Speciation
    """
    return _speciate(
        constants,
        10.0 ** (-ph),
        inorganic_carbon_mmol_per_l,
        ammonia_mmol_per_l,
        nitrite_mmol_per_l,
    )


def _speciate(
    constants: CarbonateConstants,
    h: Numbers,
    carbon: Numbers,
    ammonia: Numbers,
    nitrite: Numbers,
) -> Speciation:
    """Split totals at hydrogen activity `h` [mol/L]."""
    k1, k2, kw, kn, ki, gamma = constants
    # One division for four: the inverse of the product, times the other factors.
    k1h, k12 = k1 * h, k1 * k2
    whole, base, acidic = h * h + k1h + k12, kn + h, ki + h
    two, last = whole * base, acidic * h
    inverse = 1.0 / (two * last)
    per_two, per_last = inverse * last, inverse * two
    per_whole, per_h = per_two * base, per_last * acidic
    share = h * h * per_whole
    mean_charge = per_whole * (k1h + 2.0 * k12)
    mean_square = per_whole * (k1h + 4.0 * k12)
    free, acid = kn * (per_two * whole), h * (per_last * h)
    hydroxide, hydrogen = 1e3 * kw * per_h, h * (1e3 / gamma)
    return Speciation(
        co2=carbon * share,
        bicarbonate=carbon * (k1h * per_whole),
        carbonate=carbon * (k12 * per_whole),
        ammonia=ammonia * free,
        nitrous_acid=nitrite * acid,
        hydroxide=hydroxide,
        hydrogen=hydrogen,
        co2_share=share,
        mean_charge=mean_charge,
        base_slope=carbon * (mean_square - mean_charge * mean_charge)
        + ammonia * free * (1.0 - free)
        + hydroxide,
        acid_slope=nitrite * acid * (1.0 - acid) + hydrogen,
    )


def buffer_capacity_meq_per_l(
    constants: CarbonateConstants,
    ph: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    ammonia_mmol_per_l: Numbers = 0.0,
    nitrite_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Alkalinity needed to lift pH by one, at fixed totals.

    Parameters
    ----------
    constants : CarbonateConstants
    ph : float or array [-]
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    ammonia_mmol_per_l : float or array [mmol N/L]
    nitrite_mmol_per_l : float or array [mmol N/L]

    Returns
    -------
    float or array [meq/L per unit of pH]
    """
    parts = speciate(
        constants,
        ph,
        inorganic_carbon_mmol_per_l,
        ammonia_mmol_per_l,
        nitrite_mmol_per_l,
    )
    return LN10 * (parts.base_slope + parts.acid_slope)


def co2_slope(
    constants: CarbonateConstants,
    ph: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    ammonia_mmol_per_l: Numbers = 0.0,
    nitrite_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Share of a little added inorganic carbon that stays as CO2, at fixed alkalinity.

    Parameters
    ----------
    constants : CarbonateConstants
    ph : float or array [-]
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    ammonia_mmol_per_l : float or array [mmol N/L]
    nitrite_mmol_per_l : float or array [mmol N/L]

    Returns
    -------
    float or array [-]
        ``dCO2/dDIC``; near 1 in buffered neutral water, near 0 at high pH.

    Notes
    -----
    With ``A(h, C) = C s(h) + w(h)`` held still, ``dln h/dC = -s/(C s' + w')`` and
    ``dCO2/dC = a0 + C a0 s dln h/dC``, where ``a0`` is the CO2 share and ``s`` the mean charge.
    """
    parts = speciate(
        constants,
        ph,
        inorganic_carbon_mmol_per_l,
        ammonia_mmol_per_l,
        nitrite_mmol_per_l,
    )
    steepness = parts.base_slope + parts.acid_slope
    return parts.co2_share + parts.co2 * parts.mean_charge**2 / steepness


def solve_ph(
    constants: CarbonateConstants,
    alkalinity_meq_per_l: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    ammonia_mmol_per_l: Numbers,
    ph_guess: Numbers,
    iterations: int = 3,
    nitrite_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Renew pH by a few Newton steps in ln[H] from a nearby guess.

    Parameters
    ----------
    constants : CarbonateConstants
    alkalinity_meq_per_l : float or array [meq/L]
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    ammonia_mmol_per_l : float or array [mmol N/L]
    ph_guess : float or array [-]
        The pH of the step before.
    iterations : int
        Steps taken, whatever happens; unrolled.
    nitrite_mmol_per_l : float or array [mmol N/L]

    Returns
    -------
    float or array [-]

    Notes
    -----
    A step is kept within a factor of e^1.5 and `exp` is replaced by a ratio of polynomials that
    stays positive, so a poor guess walks instead of flying. From farther off than about 0.5 of pH
    ask `ph_from_alkalinity`.
    """
    return solve_forms(
        constants,
        alkalinity_meq_per_l,
        inorganic_carbon_mmol_per_l,
        ammonia_mmol_per_l,
        ph_guess,
        iterations,
        nitrite_mmol_per_l,
    )[0]


def solve_forms(
    constants: CarbonateConstants,
    alkalinity_meq_per_l: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    ammonia_mmol_per_l: Numbers,
    ph_guess: Numbers,
    iterations: int = 3,
    nitrite_mmol_per_l: Numbers = 0.0,
) -> tuple[Numbers, Speciation]:
    """Do as `solve_ph`, and hand out the forms at the pH found as well.

    Parameters
    ----------
    constants : CarbonateConstants
    alkalinity_meq_per_l : float or array [meq/L]
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    ammonia_mmol_per_l : float or array [mmol N/L]
    ph_guess : float or array [-]
    iterations : int
    nitrite_mmol_per_l : float or array [mmol N/L]

    Returns
    -------
    float or array [-], Speciation
    """
    alkalinity, carbon = alkalinity_meq_per_l, inorganic_carbon_mmol_per_l
    ammonia, nitrite = ammonia_mmol_per_l, nitrite_mmol_per_l
    xp = namespace(alkalinity, carbon, ammonia, nitrite, ph_guess, *constants)
    h = xp.exp(-LN10 * ph_guess)
    for _ in range(iterations):
        parts = _speciate(constants, h, carbon, ammonia, nitrite)
        slope = parts.base_slope + parts.acid_slope
        step = (parts.alkalinity_meq_per_l - alkalinity) / slope
        step = xp.where(step > 1.5, 1.5, xp.where(step < -1.5, -1.5, step))  # cheaper than a clip
        even, odd = 12.0 + step * step, 6.0 * step
        h = h * (even + odd) / (even - odd)
    return -xp.log10(h), _speciate(constants, h, carbon, ammonia, nitrite)


def ph_from_alkalinity(
    alkalinity_meq_per_l: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    temperature_c: Numbers,
    ionic_strength_mol_per_l: Numbers = 0.0,
    ammonia_mg_n_per_l: Numbers = 0.0,
    nitrite_mg_n_per_l: Numbers = 0.0,
    ph_guess: Numbers | None = None,
    iterations: int = 20,
    calcium_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Find pH from alkalinity, inorganic carbon, ammonia and nitrite.

    Parameters
    ----------
    alkalinity_meq_per_l : float or array [meq/L]
        May be negative: mineral acid.
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
    ammonia_mg_n_per_l : float or array [mg N/L]
    nitrite_mg_n_per_l : float or array [mg N/L]
    ph_guess : float or array [-], optional
    iterations : int
    calcium_mmol_per_l : float or array [mmol/L]
        Calcium and magnesium, for the bicarbonate they bind.

    Returns
    -------
    float or array [-]
        Between 0 and 14.5.
    """
    constants = carbonate_constants(temperature_c, ionic_strength_mol_per_l, calcium_mmol_per_l)
    return bracketed_ph(
        constants,
        alkalinity_meq_per_l,
        inorganic_carbon_mmol_per_l,
        ammonia_mg_n_per_l / NITROGEN,
        nitrite_mg_n_per_l / NITROGEN,
        ph_guess,
        iterations,
    )


def bracketed_ph(
    constants: CarbonateConstants,
    alkalinity_meq_per_l: Numbers,
    inorganic_carbon_mmol_per_l: Numbers,
    ammonia_mmol_per_l: Numbers = 0.0,
    nitrite_mmol_per_l: Numbers = 0.0,
    ph_guess: Numbers | None = None,
    iterations: int = 20,
) -> Numbers:
    """Find pH from any start: Newton on the ratio of acids to bases, bisection where it strays.

    Parameters
    ----------
    constants : CarbonateConstants
    alkalinity_meq_per_l : float or array [meq/L]
    inorganic_carbon_mmol_per_l : float or array [mmol/L]
    ammonia_mmol_per_l : float or array [mmol N/L]
    nitrite_mmol_per_l : float or array [mmol N/L]
    ph_guess : float or array [-], optional
    iterations : int

    Returns
    -------
    float or array [-]

    Notes
    -----
    ``ln((A+ + H + HNO2)/(A- + HCO3 + 2 CO3 + OH + NH3))`` rises without a break in ln h and is
    nearly straight where the alkalinity itself bends, so Newton seldom leaves the bracket.
    """
    alkalinity, carbon = alkalinity_meq_per_l, inorganic_carbon_mmol_per_l
    ammonia, nitrite = ammonia_mmol_per_l, nitrite_mmol_per_l
    xp = namespace(alkalinity, carbon, ammonia, nitrite, ph_guess, *constants)
    acid_side, base_side = xp.maximum(alkalinity, 0.0), xp.maximum(-alkalinity, 0.0)
    # Added zeros give every carried value its full shape from the start.
    zero = 0.0 * (alkalinity + carbon + ammonia + nitrite + constants.k1 + constants.gamma)

    def imbalance(x: Numbers) -> tuple[Numbers, Numbers]:
        parts = _speciate(constants, xp.exp(x), carbon, ammonia, nitrite)
        acids = parts.hydrogen + parts.nitrous_acid
        bases = base_side + parts.alkalinity_meq_per_l + acids
        acids = acid_side + acids
        return xp.log(acids / bases), parts.acid_slope / acids + parts.base_slope / bases

    start = 7.5 if ph_guess is None else xp.clip(ph_guess, LOWEST_PH, HIGHEST_PH)
    root = rising_root(
        imbalance,
        zero - LN10 * start,
        zero - LN10 * HIGHEST_PH,
        zero - LN10 * LOWEST_PH,
        iterations,
    )
    return -root / LN10
