"""The best numbers of each by mixed-integer programs, solved by HiGHS one after the other.

Each kind is there in its least group or not at all, up to the number beyond which more is not
wished for; kinds that cannot live together are not both there; rooms are not passed. What comes
first counts first, whatever it costs of what comes after: that kinds are there at all, then the
numbers wished for, then more than that; each by the weights of the wishes. Of equals the one that
takes less of the rooms wins.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from watervane.records import Worth

Numbers = NDArray[np.float64]
EASE = 1e-5  # what an empty room counts beside a whole wish list: settles equals alone
TOUCH = 2e-6  # of a room, by which rounding may pass it: half of it is the solver's
EQUAL = 1e-6  # shares of the wishes no farther apart count as equal
SCALE = 1e3  # so that the solver's own tolerances are far beneath all three
MOST_KEPT = 1024  # solutions that are kept, so that what did not change is not solved again


@dataclass(frozen=True, slots=True)
class Program:
    """Kinds, rooms and quarrels as arrays.

    Parameters
    ----------
    least, asked, most
        Of each kind, where it is there: its group, the number wished for, and as many as do it
        justice; none is less than the one before it.
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
    asked: tuple[int, ...]
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

    def is_idle(self, room: int) -> bool:
        """Whether a room holds all that is wished for and more: then it never binds."""
        return bool(self.costs[room] @ np.array(self.most, float) <= self.limits[room])

    @property
    def key(self) -> Hashable:
        """What tells two programs apart: of equal ones the numbers are the same."""
        arrays = (self.costs.shape, self.costs.tobytes(), self.limits.tobytes())
        kinds = (self.least, self.asked, self.most, self.weights)
        return (*kinds, self.quarrels, self.wished, *arrays)

    @property
    def all_weights(self) -> float:
        """Weight of the whole wish list."""
        return max(sum(self.weights) if self.wished is None else self.wished, 1e-12)


@dataclass(frozen=True, slots=True)
class Solution:
    """Numbers of each kind, and how far they meet the wishes."""

    counts: tuple[int, ...]
    worth: Worth


_KEPT: dict[Hashable, Solution] = {}


def worth_of(program: Program, counts: Sequence[int]) -> Worth:
    """How far numbers meet the wishes, by their weights; 1 throughout where they do.

    Parameters
    ----------
    program
        With the weights.
    counts
        Of each kind.
    """
    numbers, shares = np.asarray(counts, dtype=np.float64), _shares(program)
    return Worth(
        there=float(shares @ (numbers > 0.0)),
        met=float(shares @ np.minimum(numbers / np.array(program.asked, float), 1.0)),
        full=float(shares @ (numbers / np.array(program.most, float))),
    )


def better(one: Worth, other: Worth) -> bool:
    """Whether one is worth more: by what comes first, of equals by what comes next."""
    pairs = ((one.there, other.there), (one.met, other.met), (one.full, other.full))
    for ours, theirs in pairs:
        if abs(ours - theirs) > 2.0 * EQUAL:
            return ours > theirs
    return False


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


def ease_of(program: Program, counts: Sequence[int]) -> float:
    """What settles equals: a trifle for what numbers take of the rooms."""
    return float(_ease(program) @ np.asarray(counts, dtype=np.float64))


def best(program: Program) -> Solution:
    """The best numbers; none of anything always fits.

    Parameters
    ----------
    program
        With kinds or without.

    Raises
    ------
    ArithmeticError
        Where the solver gives up, or hands out what does not fit.
    """
    key = program.key
    found = _KEPT.get(key)
    if found is None:
        counts = program.most if fits(program, program.most) else _stage_by_stage(program)
        found = Solution(counts, worth_of(program, counts))
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[key] = found
    return found


def _stage_by_stage(program: Program) -> tuple[int, ...]:
    """Kinds there, then numbers wished for, then more: each held while the next is looked for."""
    kinds, shares = len(program.least), _shares(program)
    nothing = np.zeros(kinds)
    there = np.concatenate([nothing, shares, nothing])
    met = np.concatenate([nothing, nothing, shares / np.array(program.asked, float)])
    full = np.concatenate([shares / np.array(program.most, float), nothing, nothing])
    full[:kinds] -= _ease(program)
    if fits(program, program.asked):  # then nothing is better in the first two
        return _solved(program, full, (), at_least=program.asked)
    if fits(program, program.least):  # then all of them can be there
        first = worth_of(program, program.least).there
    else:
        first = worth_of(program, _solved(program, there, ())).there
    held = [(there, first)]
    second = worth_of(program, _solved(program, met, held)).met
    return _solved(program, full, [*held, (met, second)])


def _solved(
    program: Program,
    aim: Numbers,
    held: Sequence[tuple[Numbers, float]],
    at_least: Sequence[int] | None = None,
) -> tuple[int, ...]:
    """Numbers with the largest aim; unknowns are numbers, presence, and numbers wished for met."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to import

    kinds = len(program.least)
    most = np.array(program.most, float)
    usable = _usable(program)
    low = np.zeros(3 * kinds)
    if at_least is not None:
        low[:kinds] = at_least
    bounds = Bounds(low, np.concatenate([most * usable, usable, np.array(program.asked, float)]))
    for slack in (EQUAL, 10.0 * EQUAL):  # rarely the solver denies what it found itself
        rows = [*_rows(program), *((SCALE * a, SCALE * (x - slack), np.inf) for a, x in held)]
        found = milp(
            -SCALE * aim,
            constraints=[LinearConstraint(*each) for each in rows],
            integrality=np.repeat([1, 1, 0], kinds),
            bounds=bounds,
            options={"mip_rel_gap": 0.0},
        )
        if found.x is not None:
            break
    else:
        raise ArithmeticError(f"no numbers found: {found.message}")
    counts = tuple(round(float(x)) for x in found.x[:kinds])
    if not fits(program, counts):
        raise ArithmeticError("the numbers found do not fit")
    return counts


def _rows(program: Program) -> list[tuple[Numbers, Any, Any]]:
    """Groups, rooms and quarrels."""
    kinds = len(program.least)
    eye, nothing = np.eye(kinds), np.zeros((kinds, kinds))
    least, most = np.diag(np.array(program.least, float)), np.diag(np.array(program.most, float))
    rows: list[tuple[Numbers, Any, Any]] = [
        (np.hstack([eye, -most, nothing]), -np.inf, 0.0),
        (np.hstack([eye, -least, nothing]), 0.0, np.inf),
        (np.hstack([eye, nothing, -eye]), 0.0, np.inf),
    ]
    if len(program.limits):
        costs = program.costs * _usable(program)  # others are held at none by their bounds
        scaled = SCALE * costs / np.maximum(program.limits, 1e-12)[:, None]
        empty = np.zeros_like(scaled)
        rows.append((np.hstack([scaled, empty, empty]), -np.inf, SCALE * (1.0 + 0.5 * TOUCH)))
    if program.quarrels:
        both = np.zeros((len(program.quarrels), 3 * kinds))
        for row, (one, other) in enumerate(program.quarrels):
            both[row, [kinds + one, kinds + other]] = 1.0
        rows.append((both, -np.inf, 1.0))
    return rows


def _shares(program: Program) -> Numbers:
    """Of the whole wish list, by weight."""
    return np.array(program.weights, dtype=np.float64) / program.all_weights


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
