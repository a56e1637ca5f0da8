"""The same scheme in NumPy: that it is the same, and what a member costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from benchmarks.numpy_program import numpy_program
from benchmarks.workload import Lanes, lanes, rows_of_day, shortest_s
from watervane.process.arrays import jax
from watervane.process.day_grid import ACCURACIES, Grid, grid_of
from watervane.process.run import simulate
from watervane.process.state import TankState
from watervane.process.tank_model import advance_row, site_of

AGREEMENT = 1e-9
LEAST = 1e-6  # mg/L or mmol/L; below it stands only what rounding left of a used-up component


class DiffersError(ArithmeticError):
    """NumPy and the compiled program do not agree; times of it would mean nothing."""


@dataclass(frozen=True)
class NumpyCost:
    """What NumPy took.

    Parameters
    ----------
    difference
        See `largest_difference`. [-]
    days
        Days run for each width of block.
    per_member_day_s
        By accuracy, at the best width. [s]
    tried_s
        Width of block to seconds for one member and day, at sampling accuracy. [s]
    best
        The width that took least.
    """

    difference: float
    days: int
    per_member_day_s: dict[str, float]
    tried_s: dict[int, float]
    best: int


class NumpyLanes:
    """Members run by NumPy, row after row."""

    def __init__(self, some: Lanes) -> None:
        self._some = some
        rows, _ = rows_of_day(some.line, 0, Grid(1))
        moving = (some.start, rows[0], some.noise(0))
        still = (some.theta, some.geometry, some.source)
        fixed = [k for k, part in enumerate((moving, still)) for _ in jax.tree.leaves(part)]
        traced = jax.make_jaxpr(_one_row)(*moving, *still)
        self._row = numpy_program(traced, [bool(k) for k in fixed])(*jax.tree.leaves(still))

    def final(self, days: int, accuracy: str) -> TankState:
        """State after so many days."""
        state = self._some.start
        grid = grid_of(accuracy, self._some.line.geometry["gas_transfer_per_h"])
        for day in range(days):
            noise = self._some.noise(day)
            for row in rows_of_day(self._some.line, day, grid)[0]:
                results = self._row(*jax.tree.leaves((state, row, noise)))
                state = TankState(*results[: len(state)])
        return state


def final_compiled(some: Lanes, days: int, accuracy: str) -> TankState:
    """State after so many days, from the program that ships."""
    return simulate(
        some.line, some.members, some.start, (0, days), accuracy=accuracy, food_noise=False
    ).final


def largest_difference(found: TankState, exact: TankState) -> float:
    """Largest difference of any part of the state, over the most any member has of it."""
    worst = 0.0
    for a, b in zip(found, exact, strict=True):
        parts = [x.reshape(-1, x.shape[-1]) for x in (np.asarray(a), np.asarray(b))]
        most = np.abs(parts[1]).max(axis=1)
        off = np.abs(parts[0] - parts[1]).max(axis=1)
        worst = max(worst, float(np.max(off / np.maximum(most, LEAST))))
    return worst


def numpy_cost(widths: tuple[int, ...], days: int, repeats: int) -> NumpyCost:
    """Check, then measure blocks of each width.

    Raises
    ------
    DiffersError
        If the two programs differ by more than rounding.
    """
    some = lanes(min(widths), days)
    in_numpy = NumpyLanes(some)
    difference = max(
        largest_difference(in_numpy.final(days, a), final_compiled(some, days, a))
        for a in ACCURACIES
    )
    if not difference <= AGREEMENT:
        raise DiffersError(f"NumPy differs from the compiled program by {difference:.1e}")
    tried = {w: _per_member_day_s(w, days, "sampling", repeats) for w in widths}
    best = min(tried, key=lambda width: tried[width])
    costs = {"sampling": tried[best], "printed": _per_member_day_s(best, days, "printed", repeats)}
    return NumpyCost(difference, days, costs, tried, best)


def _per_member_day_s(width: int, days: int, accuracy: str, repeats: int) -> float:
    in_numpy = NumpyLanes(lanes(width, days))
    return shortest_s(lambda: in_numpy.final(days, accuracy), repeats) / (width * days)


def _one_row(state: Any, row: Any, noise: Any, theta: Any, geometry: Any, source: Any) -> Any:
    return advance_row(state, row, site_of(theta, geometry), source, noise)
