"""Members run on with their books kept: what every action brought and took, one by one.

The same rows run through the same program as a forecast's. Each action is done apart before its
row, twice: as it is, and as what it takes alone. What it brought is the difference, so nothing is
left over; between actions only the matrix moves anything, and it loses nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from watervane.process.actions import act
from watervane.process.arrays import Array, jax, jnp
from watervane.process.daily_noise import DRIFTING, NOISE_NAMES, DailyNoise
from watervane.process.day_grid import grid_of
from watervane.process.day_program import (
    REPORTS_PER_CALL,
    ROWS_PER_CALL,
    Rows,
    empty_rows,
    padded,
    pieces_of,
)
from watervane.process.kept_program import KeptProgram
from watervane.process.program import pack_geometry, pack_parameters, pack_rows
from watervane.process.run import BLOCK_MEMBERS, Members, day_rows_program, lanes_for
from watervane.process.state import TankState
from watervane.process.timeline import Timeline

Numbers = NDArray[np.float64]
# What brings anything in; all else of an action takes, or moves from one place to another.
BRINGS = (
    "volume_add",
    "fill_to_mark",
    "add",
    "water_differs",
    "food_mg_n_per_l",
    "planted_mg_n_per_l",
    "ammonia_target_mg_n_per_l",
    "seed_area_per_l",
)
_act = KeptProgram(jax.jit(act), "act")


@dataclass(frozen=True)
class BookedDeed:
    """One action as it was done to every member; amounts per litre of the full tank.

    Parameters
    ----------
    at_d
        [d]
    row
        Of the day program.
    before, left, after
        Amounts before it, once it has taken, and once it has brought; shape
        (components, members).
    """

    at_d: float
    row: Mapping[str, Numbers]
    before: Numbers
    left: Numbers
    after: Numbers


@dataclass(frozen=True)
class Seen:
    """The members at a moment, before anything done at that moment.

    Parameters
    ----------
    at_d
        [d]
    state
        Shape (..., 1, members).
    row
        What holds around the tank then.
    growth_factors
        How far each guild's growth has drifted, shape (members,). [-]
    """

    at_d: float
    state: TankState
    row: Mapping[str, Numbers]
    growth_factors: Mapping[str, Numbers]


def _nothing(_: object) -> None:
    return None


@dataclass(frozen=True)
class Book:
    """Who is told of what, and the moments to be told of. [d]"""

    deed: Callable[[BookedDeed], None] = field(default=_nothing)
    seen: Callable[[Seen], None] = field(default=_nothing)
    moments_d: Sequence[float] = ()


def run_booked(
    line: Timeline,
    members: Members,
    start: TankState,
    days: tuple[int, int],
    book: Book,
    *,
    accuracy: str = "sampling",
    progress: Callable[[float], None] | None = None,
) -> TankState:
    """Run at most `BLOCK_MEMBERS` members over the local days ``days[0] .. days[1] - 1``.

    Parameters
    ----------
    line, members, start, days, accuracy, progress
        See `watervane.process.run.simulate`.
    book
        Told of every action and of the moments asked for, in order of time.

    Returns
    -------
    TankState
        After the last day.
    """
    run = _Run(line, members, days[1], book)
    state = TankState(*(jnp.asarray(run.spread(np.asarray(part))) for part in start))
    grid = grid_of(accuracy, line.geometry["gas_transfer_per_h"])
    for day in range(*days):
        begin, end = line.calendar.bounds_d(day)
        stops = tuple(sorted({s for s in book.moments_d if begin <= s < end}))
        rows, starts = line.day_rows(day, grid, stops)
        state = run.through(day, state, rows, starts, stops)
        if progress is not None:
            progress((day + 1 - days[0]) / max(days[1] - days[0], 1))
    return run.trimmed(state)


class _Run:
    """One block of members, filled up to the full width with copies of its last."""

    def __init__(self, line: Timeline, members: Members, end_day: int, book: Book) -> None:
        self._count, self._book = len(members), book
        if not 0 < self._count <= BLOCK_MEMBERS:
            raise ValueError(f"books are kept of 1 to {BLOCK_MEMBERS} members, not {self._count}")
        self._lanes = np.minimum(np.arange(lanes_for(self._count)), self._count - 1)
        wide = members.chosen(self._lanes)
        theta = {name: value[None, :] for name, value in wide.parameters.items()}
        self._theta = {name: jnp.asarray(value) for name, value in theta.items()}
        self._packed = jnp.asarray(pack_parameters(theta))
        self._line, self._geometry = line, jnp.asarray(pack_geometry(line.geometry))
        self._source = jnp.asarray(wide.source[:, None, :])
        self._noise = DailyNoise(wide.seed, wide.numbers, wide.told, end_day)

    def _made_of(self, at_d: float) -> Array:
        told = self._line.geometry_at(at_d)
        return self._geometry if told is self._line.geometry else pack_geometry(told)

    def spread(self, part: Numbers) -> Numbers:
        return part[..., self._lanes]

    def trimmed(self, state: TankState) -> TankState:
        return TankState(*(np.asarray(part)[..., : self._count] for part in state))

    def through(
        self,
        day: int,
        state: TankState,
        rows: Rows,
        starts_d: Numbers,
        stops_d: Sequence[float],
    ) -> TankState:
        """Run one day, stopping where something is done or to be seen."""
        noise = self._noise.of_day(day)
        looked = {int(np.searchsorted(starts_d, s - 1e-9)): s for s in stops_d}
        done = set(np.flatnonzero(rows["acts"][:, 0, 0] > 0.0).tolist())
        cuts = _cuts(len(starts_d), done | set(looked))
        deeds = {place: {n: v[place] for n, v in rows.items()} for place in done}
        quiet = {**rows, "acts": np.zeros_like(rows["acts"])}  # done apart, see below
        for (first, stop), piece in zip(cuts, padded(quiet, cuts=cuts), strict=True):
            if first in looked:
                self._show(looked[first], state, rows, first, noise)
            if first in done:
                state = self._do(float(starts_d[first]), state, deeds[first], noise)
            state, _, _ = day_rows_program(
                state,
                pack_rows(piece),
                _NO_REPORTS,
                stop - first,
                self._packed,
                self._made_of(float(starts_d[first])),
                self._source,
                noise,
            )
        return state

    def _show(self, at_d: float, state: TankState, rows: Rows, place: int, noise: Numbers) -> None:
        drift = {
            guild: noise[NOISE_NAMES.index(f"{guild}_drift"), 0, : self._count]
            for guild in DRIFTING
        }
        row = {name: values[place] for name, values in rows.items()}
        self._book.seen(Seen(at_d, self.trimmed(state), row, drift))

    def _do(
        self, at_d: float, state: TankState, row: Mapping[str, Numbers], noise: Numbers
    ) -> TankState:
        idle = {name: values[0] for name, values in empty_rows(1).items()}
        taking = {**row, **{name: idle[name] for name in BRINGS}}
        after, left = self._acted(state, row, noise), self._acted(state, taking, noise)
        before, kept, ended = (
            np.asarray(one.amounts)[:, 0, : self._count] for one in (state, left, after)
        )
        self._book.deed(BookedDeed(at_d, row, before, kept, ended))
        return after

    def _acted(self, state: TankState, row: Mapping[str, Numbers], noise: Numbers) -> TankState:
        wide = {n: np.broadcast_to(v, (*v.shape[:-1], len(self._lanes))) for n, v in row.items()}
        told = dict(zip(NOISE_NAMES, noise, strict=True))
        return TankState(*_act(state, wide, self._theta, self._source, told))


_NO_REPORTS = np.full(ROWS_PER_CALL, REPORTS_PER_CALL, dtype=np.int32)


def _cuts(count: int, places: set[int]) -> list[tuple[int, int]]:
    """First row and end of each call, a new one beginning at every place."""
    begins = sorted({0, *places})
    return [
        (begin + first, begin + stop)
        for begin, end in zip(begins, [*begins[1:], count], strict=True)
        for first, stop in pieces_of(end - begin, ())
    ]


def few_members(members: Members, most: int = BLOCK_MEMBERS) -> NDArray[np.int64]:
    """Places of as many members, evenly among all."""
    count = min(most, len(members))
    return np.unique(np.linspace(0, len(members) - 1, count).astype(np.int64))


__all__ = ["BRINGS", "Book", "BookedDeed", "Seen", "few_members", "run_booked"]
