"""Chlorine and chloramine from the mains, and what takes them away.

Both are counted as chlorine, mg Cl2/L, the way test kits and waterworks do. Handle chlorine
products with gloves and air, and never mix them with acids.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from watervane.chemistry._arrays import Numbers, namespace
from watervane.units import conversions as mass

AMMONIA_MG_N_PER_MG_CHLORINE = mass.NITROGEN / mass.DICHLORINE


class Dechlorinator(NamedTuple):
    """A reducing agent: its molar mass and how many moles one mole of chlorine takes."""

    molar_mass_g: float
    moles_per_chlorine: float

    @property
    def mg_per_mg_chlorine(self) -> float:
        """Dose per chlorine [mg/mg Cl2]."""
        return self.molar_mass_g * self.moles_per_chlorine / mass.DICHLORINE


_THIOSULFATE = 2 * mass.SODIUM + 2 * mass.SULFUR + 3 * mass.OXYGEN
_PENTAHYDRATE = _THIOSULFATE + 5 * mass.WATER
_ASCORBIC = 6 * mass.CARBON + 8 * mass.HYDROGEN + 6 * mass.OXYGEN
_BISULFITE = mass.SODIUM + mass.HYDROGEN + mass.SULFUR + 3 * mass.OXYGEN
_METABISULFITE = 2 * mass.SODIUM + 2 * mass.SULFUR + 5 * mass.OXYGEN

DECHLORINATORS: Mapping[str, Dechlorinator] = MappingProxyType(
    {
        "thiosulfate-pentahydrate": Dechlorinator(_PENTAHYDRATE, 2.0),
        "thiosulfate-pentahydrate-to-sulfur": Dechlorinator(_PENTAHYDRATE, 1.0),
        "thiosulfate-pentahydrate-to-sulfate": Dechlorinator(_PENTAHYDRATE, 0.25),
        "thiosulfate-anhydrous": Dechlorinator(_THIOSULFATE, 2.0),
        "thiosulfate-anhydrous-to-sulfur": Dechlorinator(_THIOSULFATE, 1.0),
        "thiosulfate-anhydrous-to-sulfate": Dechlorinator(_THIOSULFATE, 0.25),
        "ascorbic-acid": Dechlorinator(_ASCORBIC, 1.0),
        "sodium-bisulfite": Dechlorinator(_BISULFITE, 1.0),
        "sodium-metabisulfite": Dechlorinator(_METABISULFITE, 0.5),
    }
)
"""Plain `thiosulfate-*` is the least efficient path (to tetrathionate): dose by that one."""


def dechlorinator_mg_per_l(
    chlorine_mg_per_l: Numbers, chloramine_mg_per_l: Numbers, substance: str
) -> Numbers:
    """Dose that takes away all chlorine and chloramine.

    Parameters
    ----------
    chlorine_mg_per_l : float or array [mg Cl2/L]
        Free chlorine.
    chloramine_mg_per_l : float or array [mg Cl2/L]
    substance : str
        A key of `DECHLORINATORS`.

    Returns
    -------
    float or array [mg/L]
    """
    return DECHLORINATORS[substance].mg_per_mg_chlorine * (chlorine_mg_per_l + chloramine_mg_per_l)


class Dechlorinated(NamedTuple):
    """What is left after the reaction, all in mg/L; ammonia as N."""

    chlorine_mg_per_l: Numbers
    chloramine_mg_per_l: Numbers
    dechlorinator_mg_per_l: Numbers
    ammonia_released_mg_n_per_l: Numbers


def dechlorinate(
    chlorine_mg_per_l: Numbers,
    chloramine_mg_per_l: Numbers,
    dechlorinator_mg_per_l: Numbers,
    mg_per_mg_chlorine: Numbers,
) -> Dechlorinated:
    """Let a dechlorinator meet chlorine first, then chloramine, until one side is used up.

    Parameters
    ----------
    chlorine_mg_per_l : float or array [mg Cl2/L]
    chloramine_mg_per_l : float or array [mg Cl2/L]
    dechlorinator_mg_per_l : float or array [mg/L]
    mg_per_mg_chlorine : float or array [mg/mg Cl2]

    Returns
    -------
    Dechlorinated
        Every chloramine taken apart leaves its ammonia in the water.
    """
    xp = namespace(
        chlorine_mg_per_l,
        chloramine_mg_per_l,
        dechlorinator_mg_per_l,
        mg_per_mg_chlorine,
    )
    power = dechlorinator_mg_per_l / mg_per_mg_chlorine
    free_taken = xp.minimum(chlorine_mg_per_l, power)
    bound_taken = xp.minimum(chloramine_mg_per_l, power - free_taken)
    return Dechlorinated(
        chlorine_mg_per_l=chlorine_mg_per_l - free_taken,
        chloramine_mg_per_l=chloramine_mg_per_l - bound_taken,
        dechlorinator_mg_per_l=(power - free_taken - bound_taken) * mg_per_mg_chlorine,
        ammonia_released_mg_n_per_l=AMMONIA_MG_N_PER_MG_CHLORINE * bound_taken,
    )


def chloramine_formed_mg_per_l(chlorine_mg_per_l: Numbers, ammonia_mg_n_per_l: Numbers) -> Numbers:
    """Chloramine made where free chlorine meets ammonia, one to one in moles.

    Parameters
    ----------
    chlorine_mg_per_l : float or array [mg Cl2/L]
    ammonia_mg_n_per_l : float or array [mg N/L]

    Returns
    -------
    float or array [mg Cl2/L]
        Fast at the pH of tanks; it hides the chlorine from a free-chlorine test.
    """
    xp = namespace(chlorine_mg_per_l, ammonia_mg_n_per_l)
    return xp.minimum(chlorine_mg_per_l, ammonia_mg_n_per_l / AMMONIA_MG_N_PER_MG_CHLORINE)


def ammonia_from_chloramine_mg_n_per_l(chloramine_mg_per_l: Numbers) -> Numbers:
    """Ammonia that dechlorinating monochloramine leaves behind.

    Parameters
    ----------
    chloramine_mg_per_l : float or array [mg Cl2/L]

    Returns
    -------
    float or array [mg N/L]
        Waterworks add a little free ammonia besides.
    """
    return AMMONIA_MG_N_PER_MG_CHLORINE * chloramine_mg_per_l
