"""Drop kits and strips: a colour compared with printed steps.

A value on a step means "nearer to this step than to the next ones"; the top step is open.
Zero is special: some keepers say 0 of all that is paler than the first step, others only of
what is nearer to 0; which of them this keeper is, is left open (`zero_habits`). A value or
range between two steps reaches from the one to the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from watervane.kits.face import Array, Cell, cell_between
from watervane.kits.sizes import (
    ADDITIVE,
    SCALES,
    number,
    stray_level,
)
from watervane.records import ReadingValue

NEAREST = 0.5  # of the way from 0 to the first step
UNDER_FIRST = 1.0
_ABOUT = 2.0  # "about" reaches twice as far
_FARTHEST = 1000.0  # steps of a usual kit end so many stray medians up


def zero_habits(*, printed: bool) -> dict[float, float]:
    """How far towards the first step a keeper says 0, with the chance of each habit.

    Parameters
    ----------
    printed
        Whether the kit has a step for 0.
    """
    name = "zero" if printed else "zero_unprinted"
    under = number(f"{name}_below_first_step_chance")
    return {NEAREST: 1.0 - under, UNDER_FIRST: under}


@dataclass(frozen=True)
class StepFace:
    """Printed steps.

    Parameters
    ----------
    quantity
        What is tested.
    steps
        Ascending; for a concentration, 0 is the first of them.
    zero_cut
        Where 0 ends, as a share of the first step above it.
    """

    quantity: str
    steps: tuple[float, ...]
    zero_cut: float = NEAREST

    @cached_property
    def edges(self) -> Array:
        """Where one step ends and the next begins."""
        steps = np.array(self.steps)
        edges: Array = 0.5 * (steps[:-1] + steps[1:])
        if steps[0] == 0.0 and self.quantity not in ADDITIVE:
            edges[0] = self.zero_cut * steps[1]
        return edges

    def cell(self, value: ReadingValue) -> Cell:
        """The levels a value stands for."""
        steps, count = np.array(self.steps), len(self.steps)
        tolerance = 1e-6 * float(steps[-1] - steps[0])
        if value.kind == "above":
            low = float(value.low or 0.0)
            return Cell(low, np.inf, (1 + int((steps > low + tolerance).sum())) / (count + 1))
        if value.kind == "below":
            high = float(value.high or 0.0)
            return Cell(-np.inf, high, (1 + int((steps < high - tolerance).sum())) / (count + 1))
        low, high = float(value.low or 0.0), float(value.high or 0.0)
        place = int(np.abs(steps - low).argmin())
        if high - low <= tolerance and abs(steps[place] - low) <= tolerance:
            return self._step(place, about=value.kind == "about")
        return self._between(low + tolerance, high - tolerance)

    def _step(self, place: int, *, about: bool) -> Cell:
        ends = np.concatenate([[-np.inf], self.edges, [np.inf]])
        low, high = float(ends[place]), float(ends[place + 1])
        if not about:
            return Cell(low, high, 1.0 / len(self.steps))
        step = self.steps[place]
        low, high = step - _ABOUT * (step - low), step + _ABOUT * (high - step)
        inside = [low <= s <= high for s in self.steps]
        return Cell(low, high, sum(inside) / len(inside))

    def _between(self, low: float, high: float) -> Cell:
        """From the step under to the step over; the ends are open."""
        steps = np.array(self.steps)
        under = int(np.searchsorted(steps, low, side="right")) - 1
        over = int(np.searchsorted(steps, high))
        open_below = under < 0 or (steps[under] <= 0.0 and self.quantity not in ADDITIVE)
        gaps = over - under + (1 if open_below and under >= 0 else 0)
        return Cell(
            -np.inf if open_below else float(steps[under]),
            np.inf if over == len(steps) else float(steps[over]),
            gaps / (len(steps) + 1),
        )

    def show(self, level: Array) -> Array:
        """The step nearest to a level."""
        return np.asarray(np.array(self.steps)[np.searchsorted(self.edges, level)])

    def stray(self, chance: Array) -> Array:
        """Any step alike."""
        count = len(self.steps)
        places = np.minimum((chance * count).astype(np.int64), count - 1)
        return np.asarray(np.array(self.steps)[places])

    def values(self) -> tuple[float, ...]:
        """All that the kit can show."""
        return self.steps


@dataclass(frozen=True)
class UsualFace:
    """Steps of a usual kit, where the kit's own are not told.

    A value reaches half a usual step to both sides. Run forwards, the steps lie side by side
    from 0 (or from a round value of pH or temperature) upwards.
    """

    quantity: str

    @cached_property
    def centres(self) -> Array:
        """Steps that lie side by side."""
        scale = SCALES[self.quantity]
        if self.quantity in ADDITIVE:
            return 2.0 * scale.half_step * np.arange(0.0, np.ceil(25.0 / scale.half_step))
        centres = [0.0]
        while centres[-1] < _FARTHEST * scale.stray_median:
            edge = centres[-1] + scale.half(centres[-1])
            centres.append(max(edge + scale.half_step, edge / (1.0 - scale.relative_step)))
        return np.array(centres)

    @cached_property
    def edges(self) -> Array:
        """Where one step ends and the next begins."""
        scale = SCALES[self.quantity]
        return np.array([c + scale.half(c) for c in self.centres[:-1]])

    def cell(self, value: ReadingValue) -> Cell:
        """The levels a value stands for."""
        return cell_between(self.quantity, *self._reach(value))

    def _reach(self, value: ReadingValue) -> tuple[float, float]:
        scale = SCALES[self.quantity]
        if value.kind == "above":
            return float(value.low or 0.0), np.inf
        if value.kind == "below":
            return -np.inf, float(value.high or 0.0)
        low, high = float(value.low or 0.0), float(value.high or 0.0)
        closed = low > 0.0 or self.quantity in ADDITIVE
        if value.kind == "range" and high > low:
            return (low if closed else -np.inf), high
        margin = 0.75 * _ABOUT if value.kind == "about" else 1.0
        under, over = margin * scale.half(low), margin * scale.half(high)
        return (low - under if closed else -np.inf), high + over

    def show(self, level: Array) -> Array:
        """The step nearest to a level."""
        return np.asarray(self.centres[np.searchsorted(self.edges, level)])

    def stray(self, chance: Array) -> Array:
        """The step at a stray level."""
        return self.show(stray_level(self.quantity, chance))

    def values(self) -> tuple[float, ...]:
        """All that the kit can show."""
        return tuple(float(c) for c in self.centres)
