"""Carbonate hardness, general hardness and alkalinity, in the units they are sold in.

One degree of German hardness is 10 mg CaO/L by definition, carbonate and general alike.
"""

from __future__ import annotations

from watervane.chemistry._arrays import Numbers, namespace
from watervane.units import conversions as mass

MEQ_PER_DKH = mass.MEQ_PER_L_PER_DKH
MMOL_PER_DGH = mass.MMOL_PER_L_PER_DGH
CACO3_MG_PER_DEGREE = 10.0 * mass.CALCIUM_CARBONATE / mass.CALCIUM_OXIDE


def alkalinity_from_kh(kh_dkh: Numbers) -> Numbers:
    """Alkalinity of a carbonate hardness.

    Parameters
    ----------
    kh_dkh : float or array [dKH]

    Returns
    -------
    float or array [meq/L]
    """
    return MEQ_PER_DKH * kh_dkh


def kh_from_alkalinity(alkalinity_meq_per_l: Numbers) -> Numbers:
    """Carbonate hardness of an alkalinity.

    Parameters
    ----------
    alkalinity_meq_per_l : float or array [meq/L]

    Returns
    -------
    float or array [dKH]
    """
    return alkalinity_meq_per_l / MEQ_PER_DKH


def caco3_from_degrees(hardness_degrees: Numbers) -> Numbers:
    """Express degrees of carbonate or general hardness as calcium carbonate.

    Parameters
    ----------
    hardness_degrees : float or array [dKH or dGH]

    Returns
    -------
    float or array [mg CaCO3/L]
    """
    return CACO3_MG_PER_DEGREE * hardness_degrees


def degrees_from_caco3(caco3_mg_per_l: Numbers) -> Numbers:
    """Degrees of carbonate or general hardness of a value given as calcium carbonate.

    Parameters
    ----------
    caco3_mg_per_l : float or array [mg CaCO3/L]

    Returns
    -------
    float or array [dKH or dGH]
    """
    return caco3_mg_per_l / CACO3_MG_PER_DEGREE


def bicarbonate_mg_per_l(alkalinity_meq_per_l: Numbers) -> Numbers:
    """Bicarbonate that would carry an alkalinity alone, as tap-water reports print it.

    Parameters
    ----------
    alkalinity_meq_per_l : float or array [meq/L]

    Returns
    -------
    float or array [mg HCO3/L]
    """
    return mass.BICARBONATE * alkalinity_meq_per_l


def gh_from_minerals(calcium_mg_per_l: Numbers, magnesium_mg_per_l: Numbers) -> Numbers:
    """General hardness from calcium and magnesium.

    Parameters
    ----------
    calcium_mg_per_l : float or array [mg Ca/L]
    magnesium_mg_per_l : float or array [mg Mg/L]

    Returns
    -------
    float or array [dGH]
    """
    mmol = calcium_mg_per_l / mass.CALCIUM + magnesium_mg_per_l / mass.MAGNESIUM
    return mmol / MMOL_PER_DGH


def minerals_from_gh(gh_dgh: Numbers, calcium_share: Numbers = 0.75) -> tuple[Numbers, Numbers]:
    """Split a general hardness into calcium and magnesium.

    Parameters
    ----------
    gh_dgh : float or array [dGH]
    calcium_share : float or array [-]
        Share of calcium by amount; three quarters is common in tap water (common practice, no
        source).

    Returns
    -------
    tuple of float or array [mg Ca/L], [mg Mg/L]
    """
    mmol = MMOL_PER_DGH * gh_dgh
    return mass.CALCIUM * mmol * calcium_share, mass.MAGNESIUM * mmol * (1.0 - calcium_share)


def temporary_hardness_dgh(gh_dgh: Numbers, kh_dkh: Numbers) -> Numbers:
    """Part of the general hardness that boiling removes: what bicarbonate can pair with.

    Parameters
    ----------
    gh_dgh : float or array [dGH]
    kh_dkh : float or array [dKH]

    Returns
    -------
    float or array [dGH]
        KH above GH means sodium or potassium bicarbonate, as behind a softener.
    """
    xp = namespace(gh_dgh, kh_dkh)
    return xp.minimum(gh_dgh, kh_dkh)
