"""Somebody tested the water and said "it is fine", without a number.

Whoever is asked may say so whatever the water: that is one trait of the one asked, so that a
hundred such words tell little more than a few. A careful one says fine less often the more
ammonia or nitrite there is, over a wide range, and where the line is drawn is an unknown.
Tests for ammonia and nitrite are taken as made; nitrate is left aside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.observation.ion_basis import conditional_rows
from watervane.inference.observation.left_out import LeftOut, left_out
from watervane.inference.observation.model import WHOLE_GROUP, Seen, Uniform, Unknowns
from watervane.inference.observed import plain
from watervane.kits.face import Array
from watervane.kits.sizes import log_sd, number
from watervane.records import SAID, Reading
from watervane.reference import value

FINE, NOT_FINE = SAID
_WATCHED = {"ammonia": "fine_ammonia_mg_n_per_l", "nitrite": "fine_nitrite_mg_n_per_l"}


@dataclass(frozen=True)
class WordOfMouth:
    """Words of one shop or friend.

    Parameters
    ----------
    told_by
        The kit they are logged under, if any.
    places
        Of the readings explained.
    fine
        Whether each said fine, shape (readings,).
    """

    told_by: str | None
    places: NDArray[np.int64]
    fine: NDArray[np.bool_]

    @property
    def names(self) -> tuple[str, ...]:
        """Whitened unknowns needed."""
        return (f"line drawn {self.told_by}",)

    @property
    def readings(self) -> tuple[int, ...]:
        """Places of the readings explained."""
        return tuple(int(i) for i in self.places)

    def log_likelihood(self, seen: Seen, unknowns: Unknowns) -> Array:
        """Conditional contributions, shape (readings, members); see `ObservationModel`."""
        return conditional_rows(np.log(_careful_or_not()), self._rows(seen, unknowns))

    def tail(self, seen: Seen, unknowns: Unknowns) -> Array:
        """Chance of what was said, shape (readings, members); see `ObservationModel`."""
        return np.exp(self.log_likelihood(seen, unknowns))

    def left_out(self, seen: Seen, unknowns: Unknowns, parts: NDArray[np.int64]) -> LeftOut:
        """The words without some of them; see `ObservationModel`."""
        rows = self._rows(seen, unknowns)
        said = np.exp(rows)
        return left_out(np.log(_careful_or_not()), rows, said, np.ones_like(said), parts)

    def _rows(self, seen: Seen, unknowns: Unknowns) -> Array:
        said = self.fine[:, None]
        return np.log([np.where(said, p, 1.0 - p) for p in self._chances(seen, unknowns)])

    def simulate(self, seen: Seen, unknowns: Unknowns, uniform: Uniform) -> Array:
        """One where fine is said, else zero, shape (readings, members)."""
        careful, careless = self._chances(seen, unknowns)
        is_careful = uniform(f"careful {self.told_by}", WHOLE_GROUP) < _careful_or_not()[0]
        chance = np.where(is_careful, careful, careless)
        draws = np.stack([uniform(f"said {self.told_by}", place) for place in self.readings])
        return np.asarray(draws < chance, dtype=np.float64)

    def _chances(self, seen: Seen, unknowns: Unknowns) -> tuple[Array, Array]:
        """Chance that a careful and a careless one says fine, shape (readings, members)."""
        slip, steepness = number("fine_slip_chance"), number("fine_steepness")
        accepted = np.ones((len(self.places), seen.count))
        for quantity, row_id in _WATCHED.items():
            row = value(row_id)
            line = row.value * np.exp(log_sd(row) * unknowns[self.names[0]])
            held = np.maximum(plain(seen.course, seen.stops[self.places], quantity), 0.0)
            accepted /= 1.0 + (held / line) ** steepness
        careful = slip + (1.0 - 2.0 * slip) * accepted
        return careful, np.full_like(careful, 1.0 - slip)


def _careful_or_not() -> Array:
    anyway = number("fine_anyway_chance")
    return np.array([1.0 - anyway, anyway])


def word_of_mouth(readings: Sequence[Reading], places: Sequence[int]) -> WordOfMouth:
    """Bring together what one shop or friend said."""
    return WordOfMouth(
        readings[places[0]].kit,
        np.array(places, dtype=np.int64),
        np.array([readings[i].value.kind == FINE for i in places]),
    )
