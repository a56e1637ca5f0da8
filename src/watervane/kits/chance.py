"""How likely one reading is at many levels of the water, by the kit it was read off.

The same model as in `watervane.inference.observation`, which weighs whole logs; here every reading
stands by itself, without a posterior and without JAX. A test holds the two against one another.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from watervane.kits.basis import basis_chances, unknown_basis
from watervane.kits.dilution import dilution_error
from watervane.kits.face import Array, Cell
from watervane.kits.faces import face, kit_steps
from watervane.kits.sizes import ADDITIVE, Errors, errors_of_kit
from watervane.kits.steps import NEAREST, zero_habits
from watervane.records import Kit, KitScale, Reading

NEVER = 1e-12  # no reading is impossible, however far off


@dataclass(frozen=True)
class Look:
    """One reading, in each way its kit may be read.

    Parameters
    ----------
    errors
        Of the kit.
    ways
        Chance of a way, the interval of levels it tells, and how often a stray reading falls there.
    diluted
        Parts of sample for one part of tank water.
    """

    errors: Errors
    ways: tuple[tuple[float, Cell], ...]
    diluted: float = 1.0

    def chance(self, level: Array, bias: Array) -> Array:
        """Chance of the reading, the water being so; shape of ``level``.

        Parameters
        ----------
        level
            In the water, canonical unit.
        bias
            Steady error of the kit, standard normal.
        """
        shown = self.errors.biased(level / self.diluted, bias)
        further = float(dilution_error(np.array([self.diluted]))[0])
        spread, outliers = self.errors.spread(shown, further), self.errors.outlier_chance
        found = np.zeros(np.shape(shown))
        for chance, cell in self.ways:
            inside = ndtr((cell.high - shown) / spread) - ndtr((cell.low - shown) / spread)
            stray = max(cell.stray, NEVER)
            found = found + chance * ((1.0 - outliers) * np.maximum(inside, 0.0) + outliers * stray)
        return np.asarray(found)

    @property
    def stray(self) -> float:
        """Chance of the reading where it has nothing to do with the water."""
        return sum(chance * max(cell.stray, NEVER) for chance, cell in self.ways)


def look(reading: Reading, kit: Kit | None) -> Look:
    """A reading as levels of the water it may stand for.

    Parameters
    ----------
    reading
        Of a quantity that kits are known for.
    kit
        What it was read off; a usual drop kit where not told.
    """
    scale = (None if kit is None else kit.scale(reading.quantity)) or KitScale(reading.quantity)
    errors = errors_of_kit(kit, reading.quantity)
    bases = basis_chances(reading.quantity) if unknown_basis(reading) else {1.0: 1.0}
    steps = kit_steps(reading, kit)
    habits = {NEAREST: 1.0}
    if steps is not None and steps[0] == 0.0 and reading.quantity not in ADDITIVE:
        habits = zero_habits(printed=bool(scale.steps) and scale.steps[0] == 0.0)
    ways = []
    for ratio, by_basis in bases.items():
        for cut, by_habit in habits.items():
            cell = face(reading, kit, zero_cut=cut).cell(reading.value)
            told = Cell(ratio * cell.low, ratio * cell.high, cell.stray)
            ways.append((by_basis * by_habit, told))
    return Look(errors, tuple(ways), reading.diluted)
