"""Ammonia for a tank without animals: how much of what, and what it costs the buffering."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.process.source_water import MEQ_PER_DKH
from watervane.reference import Substance, substance

MG_N_PER_MMOL = 14.0067
SODA = "sodium bicarbonate"
NITRIFICATION_EQ_PER_MOL = 2.0  # acid set free by one mole of ammonium on its way to nitrate
# Of ammonia in water of 5 to 10 %, by its share (from memory: 0.977 at 5 %, 0.957 at 10 %).
DENSITY_G_PER_ML_AT_NONE, DENSITY_FALL_PER_SHARE = 0.997, 0.40


@dataclass(frozen=True)
class DoseAmount:
    """So much of a substance for so much ammonia.

    Parameters
    ----------
    grams
        Of what is weighed or poured. [g]
    millilitres
        Of a solution; ``None`` for a salt. [mL]
    """

    grams: float
    millilitres: float | None


def dose_amount(name: str, rise_mg_n_per_l: float, volume_l: float) -> DoseAmount:
    """What raises ammonia by so much.

    Parameters
    ----------
    name
        Of a substance that brings ammonia, its strength with it where that is told.
    rise_mg_n_per_l
        [mg N/L]
    volume_l
        [L]

    Raises
    ------
    ValueError
        Where the substance brings no ammonia.
    """
    what = _bringing_ammonia(name)
    moles = rise_mg_n_per_l * volume_l / MG_N_PER_MMOL / 1000.0 / what.tan_mol
    grams = moles * what.molar_mass_g_per_mol / what.strength
    if what.alkalinity_eq <= 0.0:
        return DoseAmount(grams, None)
    density = DENSITY_G_PER_ML_AT_NONE - DENSITY_FALL_PER_SHARE * what.strength
    return DoseAmount(grams, grams / density)


def alkalinity_cost_dkh_per_mg_n_per_l(name: str) -> float:
    """Buffering used up once a dose has become nitrate, growth left out. [dKH per mg N/L]

    Nitrification sets two equivalents of acid free for each mole of ammonium, whatever it
    came as; a solution of ammonia brings one equivalent of base along.
    """
    what = _bringing_ammonia(name)
    brought = what.alkalinity_eq / what.tan_mol
    return (NITRIFICATION_EQ_PER_MOL - brought) / MG_N_PER_MMOL / MEQ_PER_DKH


def soda_g(rise_dkh: float, volume_l: float) -> float:
    """Baking soda that raises carbonate hardness by so much. [g]"""
    what = substance(SODA)
    millimoles = rise_dkh * MEQ_PER_DKH * volume_l / what.alkalinity_eq
    return millimoles * what.molar_mass_g_per_mol / 1000.0


def _bringing_ammonia(name: str) -> Substance:
    what = substance(name)
    if what.tan_mol <= 0.0:
        raise ValueError(f"{name} brings no ammonia")
    return what
