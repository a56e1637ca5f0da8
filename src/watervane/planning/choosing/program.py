"""The best numbers of each by a mixed-integer program, solved by HiGHS.

Each kind is there in its least group or not at all, up to the number wished for; kinds that cannot
live together are not both there; rooms are not passed. What is made largest is the weighed share
of the wishes met, half for a kind being there and half by its number; of equals the one that takes
less of the rooms wins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
BEING_THERE = 0.5  # of a wish; the rest goes by number
EASE = 1e-5  # what an empty room counts beside a whole wish list: settles equals alone
TOUCH = 2e-6  # of a room, by which rounding may pass it: the solver's own is half of it
SCALE = 1e4  # so that the solver's own gap is beneath `EASE`


@dataclass(frozen=True, slots=True)
class Program:
    """Kinds, rooms and quarrels as arrays.

    Parameters
    ----------
    least, most
        Of each kind, where it is there.
    weights
        Of the wishes.
    costs
        Of one animal, by room; shape (rooms, kinds).
    limits
        Of the rooms.
    quarrels
        Places of two kinds that cannot live together.
    wished
        Weight of the whole wish list, kinds that are out of question counted; left out, of these.
    """

    least: tuple[int, ...]
    most: tuple[int, ...]
    weights: tuple[float, ...]
    costs: Numbers
    limits: Numbers
    quarrels: tuple[tuple[int, int], ...]
    wished: float | None = None

    def without_room(self, *rooms: int) -> Program:
        """The same with rooms that have no limit."""
        kept = [i for i in range(len(self.limits)) if i not in rooms]
        return replace(self, costs=self.costs[kept], limits=self.limits[kept])

    @property
    def all_weights(self) -> float:
        """Weight of the whole wish list."""
        return max(sum(self.weights) if self.wished is None else self.wished, 1e-12)


@dataclass(frozen=True, slots=True)
class Solution:
    """Numbers of each kind, and the share of the wishes they meet."""

    counts: tuple[int, ...]
    worth: float


def worth_of(program: Program, counts: Sequence[int]) -> float:
    """Share of the wishes that numbers meet, by their weights; 1 where all are.

    Parameters
    ----------
    program
        With the weights.
    counts
        Of each kind.
    """
    told = zip(program.weights, counts, program.most, strict=True)
    met = sum(
        weight * (BEING_THERE + (1.0 - BEING_THERE) * count / most)
        for weight, count, most in told
        if count
    )
    return met / program.all_weights


def fits(program: Program, counts: Sequence[int]) -> bool:
    """Whether numbers keep to groups, quarrels and rooms."""
    numbers = np.asarray(counts, dtype=np.float64)
    groups = all(
        count == 0 or least <= count <= most
        for count, least, most in zip(counts, program.least, program.most, strict=True)
    )
    peace = not any(counts[i] and counts[j] for i, j in program.quarrels)
    rooms = program.costs @ numbers <= program.limits + _touch(program)
    return groups and peace and bool(rooms.all())


def score(program: Program, counts: Sequence[int]) -> float:
    """What the program makes largest: worth, and a trifle for empty rooms."""
    return worth_of(program, counts) - float(_ease(program) @ np.asarray(counts, dtype=np.float64))


def best(program: Program) -> Solution:
    """The best numbers; none of anything always fits.

    Parameters
    ----------
    program
        With at least one kind.

    Raises
    ------
    ArithmeticError
        Where the solver gives up, or hands out what does not fit.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to import

    kinds = len(program.least)
    if not kinds:
        return Solution((), 0.0)
    least, most = np.array(program.least, float), np.array(program.most, float)
    fitting = _usable(program)
    eye = np.eye(kinds)
    rows = [
        (np.hstack([eye, -np.diag(most)]), -np.inf, 0.0),
        (np.hstack([eye, -np.diag(least)]), 0.0, np.inf),
    ]
    if len(program.limits):
        scaled = program.costs / np.maximum(program.limits, 1e-12)[:, None]
        rows.append((np.hstack([scaled, np.zeros_like(scaled)]), -np.inf, 1.0 + 0.5 * TOUCH))
    if program.quarrels:
        both = np.zeros((len(program.quarrels), 2 * kinds))
        for row, (one, other) in enumerate(program.quarrels):
            both[row, [kinds + one, kinds + other]] = 1.0
        rows.append((both, -np.inf, 1.0))
    found = milp(
        SCALE * _losses(program),
        constraints=[LinearConstraint(*each) for each in rows],
        integrality=np.ones(2 * kinds, dtype=np.int64),
        bounds=Bounds(0.0, np.concatenate([most * fitting, fitting])),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise ArithmeticError(f"no numbers found: {found.message}")
    counts = tuple(round(float(x)) for x in found.x[:kinds])
    if not fits(program, counts):
        raise ArithmeticError("the numbers found do not fit")
    return Solution(counts, worth_of(program, counts))


def _touch(program: Program) -> Numbers:
    """What a room may be passed by."""
    return TOUCH * np.maximum(program.limits, 1e-12)


def _usable(program: Program) -> Numbers:
    """1 for kinds whose least group alone fits every room."""
    least = np.array(program.least, float)
    alone = program.costs * least <= (program.limits + _touch(program))[:, None]
    usable: Numbers = alone.all(axis=0).astype(np.float64)
    return usable


def _ease(program: Program) -> Numbers:
    """A trifle for each animal, by the share of the rooms it takes."""
    if not len(program.limits):
        return np.full(len(program.least), EASE / max(sum(program.most), 1))
    share = program.costs / np.maximum(program.limits, 1e-12)[:, None]
    most = np.maximum((share * np.array(program.most, float)).sum(), 1e-12)
    ease: Numbers = EASE * share.sum(axis=0) / most
    return ease


def _losses(program: Program) -> Numbers:
    weights = np.array(program.weights) / program.all_weights
    by_number = (1.0 - BEING_THERE) * weights / np.array(program.most, float)
    return np.concatenate([_ease(program) - by_number, -BEING_THERE * weights])
