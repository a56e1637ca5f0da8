"""Mix waters of different pH: mix what is conserved, then solve pH.

The mean of two pH readings is wrong, often by half a unit; alkalinity, inorganic carbon, ions
and heat do average.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from watervane.chemistry._arrays import Numbers
from watervane.chemistry.carbonate import ph_from_alkalinity
from watervane.chemistry.dissolved_carbon import inorganic_carbon_from_ph


class Water(NamedTuple):
    """One litre of water, by quantities that mixing averages."""

    temperature_c: Numbers
    alkalinity_meq_per_l: Numbers
    inorganic_carbon_mmol_per_l: Numbers
    ionic_strength_mol_per_l: Numbers = 0.0
    ammonia_mg_n_per_l: Numbers = 0.0
    nitrite_mg_n_per_l: Numbers = 0.0
    nitrate_mg_n_per_l: Numbers = 0.0
    calcium_mmol_per_l: Numbers = 0.0
    magnesium_mmol_per_l: Numbers = 0.0
    sodium_mmol_per_l: Numbers = 0.0
    chloride_mg_per_l: Numbers = 0.0
    chlorine_mg_per_l: Numbers = 0.0
    chloramine_mg_per_l: Numbers = 0.0
    oxygen_mg_per_l: Numbers = 0.0

    @property
    def ph(self) -> Numbers:
        """The pH [-] this water settles at, no gas exchanged."""
        return ph_from_alkalinity(
            self.alkalinity_meq_per_l,
            self.inorganic_carbon_mmol_per_l,
            self.temperature_c,
            self.ionic_strength_mol_per_l,
            self.ammonia_mg_n_per_l,
            self.nitrite_mg_n_per_l,
            calcium_mmol_per_l=self.calcium_mmol_per_l + self.magnesium_mmol_per_l,
        )

    def with_ph(self, ph: Numbers) -> Water:
        """Return this water with the inorganic carbon that makes its pH [-] what was read."""
        carbon = inorganic_carbon_from_ph(
            ph,
            self.alkalinity_meq_per_l,
            self.temperature_c,
            self.ionic_strength_mol_per_l,
            self.ammonia_mg_n_per_l,
            self.nitrite_mg_n_per_l,
            self.calcium_mmol_per_l + self.magnesium_mmol_per_l,
        )
        return self._replace(inorganic_carbon_mmol_per_l=carbon)


def mix(waters: Sequence[Water], volumes_l: Sequence[Numbers]) -> Water:
    """Pour waters together.

    Parameters
    ----------
    waters : sequence of Water
    volumes_l : sequence of float or array [L]
        One for each water.

    Returns
    -------
    Water
        Litres stand for kilograms: densities of tank waters differ by under 0.5 %.

    Raises
    ------
    ValueError
        If there is not one volume for each water.
    """
    if len(waters) != len(volumes_l) or not waters:
        raise ValueError(f"{len(waters)} waters but {len(volumes_l)} volumes; give one for each")
    total = sum(volumes_l)
    shares = [volume / total for volume in volumes_l]
    return Water(
        *(
            sum(share * value for share, value in zip(shares, values, strict=True))
            for values in zip(*waters, strict=True)
        )
    )


def change_water(tank: Water, source: Water, fraction: Numbers) -> Water:
    """Replace a fraction of the tank's water.

    Parameters
    ----------
    tank : Water
    source : Water
    fraction : float or array [-]
        0 to 1.

    Returns
    -------
    Water
    """
    return mix((tank, source), (1.0 - fraction, fraction))
