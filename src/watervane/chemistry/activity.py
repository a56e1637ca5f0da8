"""Ionic strength and the activity of ions in fresh water."""

from __future__ import annotations

from watervane.chemistry._arrays import KELVIN_OFFSET, Numbers, namespace
from watervane.reference import sourced


@sourced(
    "truesdell_jones1974",
    where="Debye-Hueckel slope from the dielectric constant of water",
    valid={"temperature_c": (0.0, 50.0)},
)
def debye_huckel_slope(temperature_c: Numbers) -> Numbers:
    """Slope A of the Debye-Hückel law.

    Parameters
    ----------
    temperature_c : float or array [degC]

    Returns
    -------
    float or array [(kg/mol)^0.5]
        ``1.82e6 (eps T)^-1.5`` with the static dielectric constant of water eps.
    """
    t = temperature_c
    dielectric = 87.740 + t * (-0.4008 + t * (9.398e-4 - t * 1.410e-6))
    return 1.82e6 * (dielectric * (t + KELVIN_OFFSET)) ** -1.5


@sourced(
    "davies1962",
    where="log g = -A z^2 (sqrt(I)/(1 + sqrt(I)) - 0.3 I)",
    valid={"temperature_c": (0.0, 50.0), "ionic_strength_mol_per_l": (0.0, 0.5)},
)
def log10_activity_davies(temperature_c: Numbers, ionic_strength_mol_per_l: Numbers) -> Numbers:
    """Decimal logarithm of the activity coefficient of a singly charged ion.

    Parameters
    ----------
    temperature_c : float or array [degC]
    ionic_strength_mol_per_l : float or array [mol/L]
        A litre is taken as a kilogram of water: fresh water, error under 0.5 %.

    Returns
    -------
    float or array [-]
        Multiply by the square of the charge for other ions.
    """
    return -debye_huckel_slope(temperature_c) * davies_term(ionic_strength_mol_per_l)


def davies_term(ionic_strength_mol_per_l: Numbers) -> Numbers:
    """Part of Davies' law that the ions give: ``sqrt(I)/(1 + sqrt(I)) - 0.3 I``.

    Parameters
    ----------
    ionic_strength_mol_per_l : float or array [mol/L]

    Returns
    -------
    float or array [(mol/kg)^0.5]
    """
    xp = namespace(ionic_strength_mol_per_l)
    # The slope of a square root at exactly zero is infinite and would poison gradients.
    strength = xp.maximum(ionic_strength_mol_per_l, 1e-12)
    root = xp.sqrt(strength)
    return root / (1.0 + root) - 0.3 * strength


def ionic_strength_of_ions(
    *,
    singly_charged_mmol_per_l: Numbers = 0.0,
    doubly_charged_mmol_per_l: Numbers = 0.0,
) -> Numbers:
    """Ionic strength from the summed amounts of singly and doubly charged ions.

    Parameters
    ----------
    singly_charged_mmol_per_l : float or array [mmol/L]
    doubly_charged_mmol_per_l : float or array [mmol/L]

    Returns
    -------
    float or array [mol/L]
        Half the sum of concentration times charge squared (Lewis and Randall's definition).
    """
    return 0.5e-3 * (singly_charged_mmol_per_l + 4.0 * doubly_charged_mmol_per_l)


def ionic_strength_of_salinity(salinity: Numbers) -> Numbers:
    """Ionic strength of sea salt in water.

    Parameters
    ----------
    salinity : float or array [g/kg]

    Returns
    -------
    float or array [mol/kg]
        ``19.92 S/(1000 - 1.005 S)``, the usual seawater composition.
    """
    return 19.924 * salinity / (1000.0 - 1.005 * salinity)


def ionic_strength_from_conductivity(conductivity_us_per_cm_25: Numbers) -> Numbers:
    """Estimate the ionic strength of fresh water from its conductivity at 25 degC.

    Parameters
    ----------
    conductivity_us_per_cm_25 : float or array [uS/cm at 25 degC]

    Returns
    -------
    float or array [mol/L]
        ``1.6e-5`` times the conductivity, a common engineering estimate.
    """
    return 1.6e-5 * conductivity_us_per_cm_25
