"""Electrical conductivity of fresh water: from its ions, and moved to 25 degC."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from watervane.chemistry._arrays import Numbers, namespace
from watervane.reference import sourced


class Ion(NamedTuple):
    """Charge and limiting equivalent conductance [S cm2/eq] at 25 degC."""

    charge: int
    conductance_s_cm2_per_eq: float


IONS: Mapping[str, Ion] = MappingProxyType(
    {
        "calcium": Ion(2, 59.5),
        "magnesium": Ion(2, 53.1),
        "sodium": Ion(1, 50.1),
        "potassium": Ion(1, 73.5),
        "ammonium": Ion(1, 73.5),
        "hydrogen": Ion(1, 350.0),
        "bicarbonate": Ion(-1, 44.5),
        "carbonate": Ion(-2, 72.0),
        "chloride": Ion(-1, 76.4),
        "nitrite": Ion(-1, 71.8),
        "nitrate": Ion(-1, 71.4),
        "sulfate": Ion(-2, 80.0),
        "hydroxide": Ion(-1, 198.6),
    }
)


def ionic_strength_of(amounts_mmol_per_l: Mapping[str, Numbers]) -> Numbers:
    """Ionic strength of a list of ions.

    Parameters
    ----------
    amounts_mmol_per_l : mapping of ion name to float or array [mmol/L]

    Returns
    -------
    float or array [mol/L]
    """
    return 0.5e-3 * sum(
        amount * IONS[name].charge ** 2 for name, amount in amounts_mmol_per_l.items()
    )


@sourced(
    "engineering_handbook",
    where="limiting conductances; Onsager's law with the size term of Robinson and Stokes",
)
def conductivity_us_per_cm_25(amounts_mmol_per_l: Mapping[str, Numbers]) -> Numbers:
    """Conductivity at 25 degC of water with these ions.

    Parameters
    ----------
    amounts_mmol_per_l : mapping of ion name to float or array [mmol/L]
        Names as in `IONS`.

    Returns
    -------
    float or array [uS/cm at 25 degC]

    Notes
    -----
    Each ion's equivalent conductance falls by ``|z| (0.2300 l0 + 30.32) sqrt(I)/(1 + 1.31
    sqrt(I))``: relaxation and electrophoresis, ions 0.4 nm across. For ionic strengths under
    0.1 mol/L.
    """
    strength = ionic_strength_of(amounts_mmol_per_l)
    xp = namespace(strength)
    root = xp.sqrt(xp.maximum(strength, 1e-12))
    drag = root / (1.0 + 1.31 * root)
    total = 0.0 * strength
    for name, amount in amounts_mmol_per_l.items():
        charge, limiting = abs(IONS[name].charge), IONS[name].conductance_s_cm2_per_eq
        total = total + amount * charge * (limiting - charge * (0.2300 * limiting + 30.32) * drag)
    return total


@sourced("apha2510", where="0.0191 per degree", valid={"temperature_c": (10.0, 40.0)})
def conductivity_at_25(conductivity_us_per_cm: Numbers, temperature_c: Numbers) -> Numbers:
    """Move a conductivity read at water temperature to 25 degC.

    Parameters
    ----------
    conductivity_us_per_cm : float or array [uS/cm]
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [uS/cm at 25 degC]
        Most meters have done this already.
    """
    return conductivity_us_per_cm / (1.0 + 0.0191 * (temperature_c - 25.0))


def dissolved_solids_mg_per_l(
    conductivity_us_per_cm_25: Numbers, factor: Numbers = 0.64
) -> Numbers:
    """Estimate dissolved solids from conductivity.

    Parameters
    ----------
    conductivity_us_per_cm_25 : float or array [uS/cm at 25 degC]
    factor : float or array [mg/L per uS/cm]
        0.55 to 0.9 depending on the ions.

    Returns
    -------
    float or array [mg/L]
    """
    return factor * conductivity_us_per_cm_25
