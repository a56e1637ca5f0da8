"""A tank's likelihood guessed without running it: what kits look at is emulated."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from watervane.inference.emulator import Emulator
from watervane.inference.reading_look import ReadingLook
from watervane.inference.target import Evaluated
from watervane.process.state import OUTPUTS

Numbers = NDArray[np.float64]
# Levels under which a concentration need not be told from none; others are emulated as they are.
FLOORS = {
    "ammonia_mg_n_per_l": 0.05,
    "nitrite_mg_n_per_l": 0.03,
    "nitrate_mg_n_per_l": 0.5,
    "chlorine_mg_per_l": 0.03,
}
_HIGHEST_LOG = 8.0


class TankSurrogate:
    """A guess of the likelihood from an emulator and the true observation models.

    Parameters
    ----------
    look
        What the readings look at.
    rows
        Unknowns the water depends on; those of the kits are not emulated but used.
    latent_rows
        Unknowns of the kits.
    source
        Source water of members, where it was tested.
    base
        The part of the likelihood that a starting population agrees with, from that of
        each reading.
    """

    def __init__(
        self,
        look: ReadingLook,
        rows: NDArray[np.int64],
        latent_rows: NDArray[np.int64],
        source: Callable[[Numbers], Numbers] | None,
        base: Callable[[Numbers], Numbers],
    ) -> None:
        self._look, self._rows, self._latent_rows = look, rows, latent_rows
        self._source, self._base = source, base
        floors = [FLOORS.get(OUTPUTS[output], 0.0) for output in look.outputs]
        self._floors = np.array(floors)[:, None]

    def fitted(self, z: Numbers, looks: Numbers, weights: Numbers) -> TankSurrogate:
        """Fit to runs, shapes (unknowns, runs), (looks, runs) and (runs,)."""
        self._emulator = Emulator(z[self._rows], self._curved(looks), weights)
        return self

    def __call__(self, z: Numbers) -> Evaluated:
        """Guess the likelihood of members, shape (unknowns, members)."""
        looks = self._straight(self._emulator(z[self._rows]))
        source = None if self._source is None else self._source(z)
        each = self._look.log_likelihood(looks, source, z[self._latent_rows])
        return Evaluated(each.sum(axis=0), {}, self._base(each))

    def _curved(self, looks: Numbers) -> Numbers:
        logs = np.log(np.maximum(looks, 0.0) + np.where(self._floors > 0.0, self._floors, 1.0))
        return np.where(self._floors > 0.0, logs, looks)

    def _straight(self, curved: Numbers) -> Numbers:
        levels = np.exp(np.minimum(curved, _HIGHEST_LOG)) - self._floors
        return np.where(self._floors > 0.0, np.maximum(levels, 0.0), curved)
