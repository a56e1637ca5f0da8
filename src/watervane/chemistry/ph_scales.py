"""The distance between the pH a buffered meter shows and the total scale of sea water.

Between 5 and 35 g/kg the choice of scale moves un-ionised ammonia more than salinity does.
"""

from __future__ import annotations

from watervane.chemistry._arrays import KELVIN_OFFSET, Numbers, namespace
from watervane.chemistry.activity import ionic_strength_of_salinity
from watervane.reference import sourced


@sourced(
    "dickson1990_sulfate",
    where="eqs. 22 and 23, Table 4; free scale, mol/kg sea water",
    valid={"temperature_c": (0.0, 45.0), "salinity": (5.0, 45.0)},
)
def bisulfate_constant(temperature_c: Numbers, salinity: Numbers) -> Numbers:
    """Dissociation constant of bisulfate in sea water.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [mol/kg]
    """
    xp = namespace(temperature_c, salinity)
    kelvin = temperature_c + KELVIN_OFFSET
    log_t = xp.log(kelvin)
    strength = ionic_strength_of_salinity(salinity)
    root = xp.sqrt(strength)
    ln_k = (
        -4276.1 / kelvin
        + 141.328
        - 23.093 * log_t
        + (-13856.0 / kelvin + 324.57 - 47.986 * log_t) * root
        + (35474.0 / kelvin - 771.54 + 114.723 * log_t) * strength
        - 2698.0 / kelvin * root * strength
        + 1776.0 / kelvin * strength**2
    )
    return xp.exp(ln_k) * (1.0 - 0.001005 * salinity)


@sourced(
    "dickson_riley1979",
    where="free scale, mol/kg sea water",
    valid={"temperature_c": (5.0, 35.0), "salinity": (10.0, 48.0)},
)
def hydrogen_fluoride_constant(temperature_c: Numbers, salinity: Numbers) -> Numbers:
    """Dissociation constant of hydrogen fluoride in sea water.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [mol/kg]
    """
    xp = namespace(temperature_c, salinity)
    root = xp.sqrt(ionic_strength_of_salinity(salinity))
    ln_k = 1590.2 / (temperature_c + KELVIN_OFFSET) - 12.641 + 1.525 * root
    return xp.exp(ln_k) * (1.0 - 0.001005 * salinity)


@sourced(
    "takahashi1982",
    where="apparent activity coefficient fH of H+ in sea water",
    valid={"temperature_c": (0.0, 40.0), "salinity": (20.0, 40.0)},
)
def hydrogen_activity_takahashi1982(temperature_c: Numbers, salinity: Numbers) -> Numbers:
    """Ratio of the NBS-scale activity to the seawater-scale amount of H+.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [-]
    """
    kelvin = temperature_c + KELVIN_OFFSET
    return 1.2948 - 0.002036 * kelvin + (0.0004607 - 0.000001475 * kelvin) * salinity**2


def nbs_minus_total(temperature_c: Numbers, salinity: Numbers) -> Numbers:
    """Return what to add to a total-scale pH (or pKa) to read it on the NBS scale.

    Parameters
    ----------
    temperature_c : float or array [degC]
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [-]
        About 0.13 to 0.16 between 5 and 35 g/kg.

    Notes
    -----
    Sulfate and fluoride follow salinity (Morris & Riley 1966; Riley 1965).
    """
    xp = namespace(temperature_c, salinity)
    sulfate = 0.14 / 96.062 * salinity / 1.80655
    fluoride = 0.000067 / 18.998 * salinity / 1.80655
    with_sulfate = 1.0 + sulfate / bisulfate_constant(temperature_c, salinity)
    with_both = with_sulfate + fluoride / hydrogen_fluoride_constant(temperature_c, salinity)
    seawater_over_total = with_both / with_sulfate
    return -xp.log10(hydrogen_activity_takahashi1982(temperature_c, salinity) * seawater_over_total)
