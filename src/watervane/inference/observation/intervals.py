"""Readings that stand for an interval of levels: drop kits, strips, photometers, remarks.

The chance of an interval is summed over the error of a reading; a share of readings has
nothing to do with the water and falls anywhere on the kit. Where the kit may be read in more
than one way (basis, what 0 means) each way is weighed as a whole.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from watervane.inference.observation.ion_basis import conditional_chances, conditional_rows
from watervane.inference.observation.left_out import LeftOut, left_out
from watervane.inference.observation.model import WHOLE_GROUP, Seen, Uniform, Unknowns
from watervane.inference.observation.sample import Sample
from watervane.kits.face import Array, Face

_NEVER = 1e-12  # no reading is impossible, however far off


@dataclass(frozen=True)
class Way:
    """One way the kit may be read.

    Parameters
    ----------
    chance
        Of this way, before any reading.
    faces
        What each reading was read off, one a reading.
    ratio
        True level for each unit shown, one a reading.
    """

    chance: float
    faces: tuple[Face, ...]
    ratio: Array


@dataclass(frozen=True)
class _Cells:
    """Intervals of all readings under one way, shape (readings, 1) each."""

    low: Array
    high: Array
    stray: Array

    def differs(self, other: _Cells) -> NDArray[np.bool_]:
        """Rows where two ways say different things."""
        pairs = ((self.low, other.low), (self.high, other.high), (self.stray, other.stray))
        return np.asarray(np.any([(one != two)[:, 0] for one, two in pairs], axis=0))

    def of(self, rows: NDArray[np.bool_]) -> _Cells:
        """Those of some readings."""
        return _Cells(self.low[rows], self.high[rows], self.stray[rows])


_Of = Callable[[_Cells, Array, Array], Array]


@dataclass(frozen=True)
class IntervalModel:
    """Readings of one kit and quantity as intervals.

    Parameters
    ----------
    sample
        The readings.
    ways
        How the kit may be read; their chances sum to one.
    """

    sample: Sample
    ways: tuple[Way, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Whitened unknowns needed."""
        return self.sample.names

    @property
    def readings(self) -> tuple[int, ...]:
        """Places of the readings explained."""
        return tuple(int(i) for i in self.sample.places)

    @cached_property
    def _cells(self) -> tuple[_Cells, ...]:
        return tuple(_cells(way, self.sample) for way in self.ways)

    @cached_property
    def _merged(self) -> tuple[tuple[_Cells, ...], Array]:
        """Ways that differ for these readings, and their log chances."""
        kept: list[_Cells] = []
        chances: list[float] = []
        for way, cells in zip(self.ways, self._cells, strict=True):
            same = [i for i, k in enumerate(kept) if not k.differs(cells).any()]
            if same:
                chances[same[0]] += way.chance
            else:
                kept.append(cells)
                chances.append(way.chance)
        return tuple(kept), np.log(chances)

    def log_likelihood(self, seen: Seen, unknowns: Unknowns) -> Array:
        """Conditional contributions, shape (readings, members); see `ObservationModel`."""
        return conditional_rows(self._merged[1], self._rows(self.sample.shown(seen, unknowns)))

    def tail(self, seen: Seen, unknowns: Unknowns) -> Array:
        """Chance of a reading as far out, shape (readings, members); see `ObservationModel`."""
        shown = self.sample.shown(seen, unknowns)
        rows, tails = self._rows(shown), self._over_ways(shown, _beyond)
        outliers = self.sample.errors.outlier_chance
        tails = np.minimum((1.0 - outliers) * tails + outliers, 1.0)
        return conditional_chances(self._merged[1], rows, tails)

    def left_out(self, seen: Seen, unknowns: Unknowns, parts: NDArray[np.int64]) -> LeftOut:
        """The readings without some of them; see `ObservationModel`."""
        shown = self.sample.shown(seen, unknowns)
        below, above = self._over_ways(shown, _no_higher), self._over_ways(shown, _no_lower)
        return left_out(self._merged[1], self._rows(shown), below, above, parts)

    def _rows(self, told: tuple[Array, Array]) -> Array:
        """Log likelihood of each reading under each way, shape (ways, readings, members)."""
        outliers = self.sample.errors.outlier_chance

        def likelihood(cells: _Cells, shown: Array, spread: Array) -> Array:
            inside = _chance(cells.low, cells.high, shown, spread)
            return (1.0 - outliers) * inside + outliers * cells.stray

        return np.asarray(np.log(self._over_ways(told, likelihood)))

    def _over_ways(self, told: tuple[Array, Array], of: _Of) -> Array:
        """Something of each reading under each way, shape (ways, readings, members)."""
        shown, spread = told
        ways = self._merged[0]
        rows = np.empty((len(ways), *shown.shape))
        for i, cells in enumerate(ways):
            left = np.ones(len(shown), dtype=bool)
            for j, before in enumerate(ways[:i]):  # many ways differ in a few rows only
                same = left & ~cells.differs(before)
                rows[i, same] = rows[j, same]
                left &= ~same
            rows[i, left] = of(cells.of(left), shown[left], spread[left])
        return rows

    def simulate(self, seen: Seen, unknowns: Unknowns, uniform: Uniform) -> Array:
        """What the kit would show, shape (readings, members); see `ObservationModel`."""
        shown, spread = self.sample.shown(seen, unknowns)
        label = " ".join(self.names[:1])
        edges = np.cumsum([way.chance for way in self.ways])[:-1]
        way_of = np.searchsorted(edges, uniform(f"way {label}", WHOLE_GROUP))
        result = np.empty_like(shown)
        for row, place in enumerate(self.readings):
            level = shown[row] + spread[row] * ndtri(uniform(f"error {label}", place))
            odd = uniform(f"odd {label}", place) < self.sample.errors.outlier_chance
            anywhere = uniform(f"stray {label}", place)
            for i, way in enumerate(self.ways):
                face, ratio = way.faces[row], way.ratio[row]
                read = np.where(odd, face.stray(anywhere), face.show(level / ratio))
                result[row] = np.where(way_of == i, read, result[row])
        return result


def _cells(way: Way, sample: Sample) -> _Cells:
    found = [face.cell(r.value) for face, r in zip(way.faces, sample.readings, strict=True)]
    low, high, stray = (
        np.array([getattr(c, name) for c in found])[:, None] for name in ("low", "high", "stray")
    )
    ratio = way.ratio[:, None]
    return _Cells(low * ratio, high * ratio, np.maximum(stray, _NEVER))


def _chance(low: Array, high: Array, centre: Array, width: Array) -> Array:
    """Chance of an interval under a normal error, open ends not computed."""
    below = np.zeros_like(centre)
    above = np.ones_like(centre)
    closed = np.isfinite(low[:, 0])
    below[closed] = ndtr((low[closed] - centre[closed]) / width[closed])
    closed = np.isfinite(high[:, 0])
    above[closed] = ndtr((high[closed] - centre[closed]) / width[closed])
    return np.maximum(above - below, 0.0)


def _no_higher(cells: _Cells, centre: Array, width: Array) -> Array:
    """Chance to fall into an interval or below it."""
    return np.asarray(ndtr((cells.high - centre) / width))


def _no_lower(cells: _Cells, centre: Array, width: Array) -> Array:
    """Chance to fall into an interval or above it."""
    return np.asarray(ndtr((centre - cells.low) / width))


def _beyond(cells: _Cells, centre: Array, width: Array) -> Array:
    """Chance to fall into an interval or past it, on the side it lies, doubled."""
    sides = _no_higher(cells, centre, width), _no_lower(cells, centre, width)
    return np.asarray(np.minimum(2.0 * np.minimum(*sides), 1.0))
