"""Readings since an anchor as a target whose unknowns are standard normal again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.inference.anchors import Anchor
from watervane.inference.tank_target import TankTarget
from watervane.inference.target import Evaluated, Surrogate
from watervane.process.run import Members
from watervane.process.timeline import Timeline
from watervane.records import Reading

Numbers = NDArray[np.float64]


class AnchoredTarget(TankTarget):
    """A tank's readings since an anchor.

    What the anchor knows becomes standard normal by the root of its covariance, so that the
    sampler finds a prior as everywhere else. `unfolded` members have the unknowns that names
    stand for; all others are folded.

    Parameters
    ----------
    line, seed, threads
        See `TankTarget`.
    readings
        Since the anchor.
    anchor
        Where the water begins, and what is known of it.
    """

    def __init__(
        self, line: Timeline, readings: Sequence[Reading], seed: int, threads: int, anchor: Anchor
    ) -> None:
        super().__init__(line, readings, seed, threads, anchor=anchor)
        place = {name: i for i, name in enumerate(self.names)}
        self._known = np.array([place[name] for name in anchor.names], dtype=np.int64)
        self._mean = anchor.mean[:, None]
        self._root = np.linalg.cholesky(anchor.covariance)

    def unfolded(self, z: Numbers) -> Numbers:
        """The unknowns that names stand for."""
        told = z.copy()
        told[self._known] = self._mean + self._root @ z[self._known]
        return told

    def folded(self, z: Numbers) -> Numbers:
        """The inverse of `unfolded`."""
        told = z.copy()
        told[self._known] = np.linalg.solve(self._root, z[self._known] - self._mean)
        return told

    def evaluate(self, z: Numbers) -> Evaluated:
        return super().evaluate(self.unfolded(z))

    def surrogate(self, z: Numbers, kept: Mapping[str, Numbers], weights: Numbers) -> Surrogate:
        guess = super().surrogate(self.unfolded(z), kept, weights)
        return lambda at: guess(self.unfolded(at))


def target_of(
    line: Timeline,
    readings: Sequence[Reading],
    seed: int,
    threads: int,
    anchor: Anchor | None = None,
    *,
    restless: bool = True,
) -> TankTarget:
    """The target of readings since an anchor, or since filling.

    Parameters
    ----------
    line, readings, seed, threads, restless
        See `TankTarget`; of the readings those before the anchor are left out.
    anchor
        If any.
    """
    if anchor is None:
        return TankTarget(line, readings, seed, threads, restless=restless)
    return AnchoredTarget(line, since(line, readings, anchor), seed, threads, anchor)


def since(line: Timeline, readings: Sequence[Reading], anchor: Anchor | None) -> list[Reading]:
    """Readings that an anchor does not stand for."""
    begin = 0.0 if anchor is None else line.calendar.bounds_d(anchor.day)[0]
    return [r for r in readings if anchor is None or line.calendar.days(r.at) >= begin]


__all__ = ["AnchoredTarget", "Members", "since", "target_of"]
