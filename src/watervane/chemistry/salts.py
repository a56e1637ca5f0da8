"""Salts that raise carbonate hardness, general hardness, chloride or nitrogen: grams for a rise."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from watervane.chemistry._arrays import Numbers
from watervane.units import conversions as mass


class Salt(NamedTuple):
    """One mole of a pure salt: its mass, and the moles (equivalents) it brings."""

    formula: str
    molar_mass_g: float
    alkalinity_eq: float = 0.0
    inorganic_carbon: float = 0.0
    calcium: float = 0.0
    magnesium: float = 0.0
    sodium: float = 0.0
    potassium: float = 0.0
    chloride: float = 0.0
    sulfate: float = 0.0
    ammonia: float = 0.0
    nitrite: float = 0.0
    nitrate: float = 0.0

    @property
    def hardness(self) -> float:
        """Calcium and magnesium together [mol/mol]."""
        return self.calcium + self.magnesium


_SULFATE = mass.SULFUR + 4 * mass.OXYGEN
_CARBONATE = mass.CARBON + 3 * mass.OXYGEN
_AMMONIUM = mass.NITROGEN + 4 * mass.HYDROGEN


def _salts() -> dict[str, Salt]:
    water = mass.WATER
    return {
        "sodium-bicarbonate": Salt(
            "NaHCO3",
            mass.SODIUM + mass.BICARBONATE,
            alkalinity_eq=1.0,
            inorganic_carbon=1.0,
            sodium=1.0,
        ),
        "potassium-bicarbonate": Salt(
            "KHCO3",
            mass.POTASSIUM + mass.BICARBONATE,
            alkalinity_eq=1.0,
            inorganic_carbon=1.0,
            potassium=1.0,
        ),
        "sodium-carbonate": Salt(
            "Na2CO3",
            2 * mass.SODIUM + _CARBONATE,
            alkalinity_eq=2.0,
            inorganic_carbon=1.0,
            sodium=2.0,
        ),
        "calcium-carbonate": Salt(
            "CaCO3",
            mass.CALCIUM_CARBONATE,
            alkalinity_eq=2.0,
            inorganic_carbon=1.0,
            calcium=1.0,
        ),
        "calcium-chloride-dihydrate": Salt(
            "CaCl2.2H2O",
            mass.CALCIUM + 2 * mass.CHLORINE + 2 * water,
            calcium=1.0,
            chloride=2.0,
        ),
        "calcium-sulfate-dihydrate": Salt(
            "CaSO4.2H2O", mass.CALCIUM + _SULFATE + 2 * water, calcium=1.0, sulfate=1.0
        ),
        "magnesium-sulfate-heptahydrate": Salt(
            "MgSO4.7H2O",
            mass.MAGNESIUM + _SULFATE + 7 * water,
            magnesium=1.0,
            sulfate=1.0,
        ),
        "magnesium-chloride-hexahydrate": Salt(
            "MgCl2.6H2O",
            mass.MAGNESIUM + 2 * mass.CHLORINE + 6 * water,
            magnesium=1.0,
            chloride=2.0,
        ),
        "sodium-chloride": Salt("NaCl", mass.SODIUM + mass.CHLORINE, sodium=1.0, chloride=1.0),
        "ammonium-chloride": Salt("NH4Cl", _AMMONIUM + mass.CHLORINE, ammonia=1.0, chloride=1.0),
        "sodium-nitrite": Salt("NaNO2", mass.SODIUM + mass.NITRITE, sodium=1.0, nitrite=1.0),
        "potassium-nitrate": Salt(
            "KNO3", mass.POTASSIUM + mass.NITRATE, potassium=1.0, nitrate=1.0
        ),
    }


SALTS: Mapping[str, Salt] = MappingProxyType(_salts())


def dose_for_alkalinity_g(salt: Salt, rise_meq_per_l: Numbers, volume_l: Numbers) -> Numbers:
    """Grams of pure salt that raise alkalinity by so much.

    Parameters
    ----------
    salt : Salt
    rise_meq_per_l : float or array [meq/L]
    volume_l : float or array [L]

    Returns
    -------
    float or array [g]

    Raises
    ------
    ValueError
        If the salt brings no alkalinity.
    """
    return _dose_g(salt, salt.alkalinity_eq, "alkalinity", rise_meq_per_l, volume_l)


def dose_for_hardness_g(salt: Salt, rise_mmol_per_l: Numbers, volume_l: Numbers) -> Numbers:
    """Grams of pure salt that raise calcium and magnesium by so much.

    Parameters
    ----------
    salt : Salt
    rise_mmol_per_l : float or array [mmol/L]
    volume_l : float or array [L]

    Returns
    -------
    float or array [g]

    Raises
    ------
    ValueError
        If the salt brings neither calcium nor magnesium.
    """
    return _dose_g(salt, salt.hardness, "hardness", rise_mmol_per_l, volume_l)


def dose_for_chloride_g(salt: Salt, rise_mg_per_l: Numbers, volume_l: Numbers) -> Numbers:
    """Grams of pure salt that raise chloride by so much.

    Parameters
    ----------
    salt : Salt
    rise_mg_per_l : float or array [mg Cl/L]
    volume_l : float or array [L]

    Returns
    -------
    float or array [g]

    Raises
    ------
    ValueError
        If the salt brings no chloride.
    """
    return _dose_g(salt, salt.chloride, "chloride", rise_mg_per_l / mass.CHLORINE, volume_l)


def dose_for_nitrogen_g(salt: Salt, rise_mg_n_per_l: Numbers, volume_l: Numbers) -> Numbers:
    """Grams of pure salt that raise ammonia, nitrite and nitrate nitrogen together by so much.

    Parameters
    ----------
    salt : Salt
    rise_mg_n_per_l : float or array [mg N/L]
    volume_l : float or array [L]

    Returns
    -------
    float or array [g]

    Raises
    ------
    ValueError
        If the salt brings no nitrogen.
    """
    nitrogen = salt.ammonia + salt.nitrite + salt.nitrate
    return _dose_g(salt, nitrogen, "nitrogen", rise_mg_n_per_l / mass.NITROGEN, volume_l)


def _dose_g(
    salt: Salt, moles: float, what: str, rise_mmol_per_l: Numbers, volume_l: Numbers
) -> Numbers:
    if moles == 0.0:
        raise ValueError(f"{salt.formula} brings no {what}; choose a salt that does")
    return 1e-3 * salt.molar_mass_g / moles * rise_mmol_per_l * volume_l


def brought_mmol_per_l(salt: Salt, mass_g: Numbers, volume_l: Numbers) -> dict[str, Numbers]:
    """What a weighed dose brings, once dissolved.

    Parameters
    ----------
    salt : Salt
    mass_g : float or array [g]
    volume_l : float or array [L]

    Returns
    -------
    dict of str to float or array [mmol/L]
        Only what the salt brings; alkalinity in meq/L under ``alkalinity_eq``.
    """
    mmol_per_l = 1e3 * mass_g / (salt.molar_mass_g * volume_l)
    parts = salt._asdict()
    return {
        name: moles * mmol_per_l
        for name, moles in parts.items()
        if name not in ("formula", "molar_mass_g") and moles
    }
