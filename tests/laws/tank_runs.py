"""A loop of the tests' own around the model's row: it keeps what the model throws away.

Every member may have its own geometry, so one run holds mild and extreme tanks side by side.
Rows come in calls of one size, each filled with the days that follow: a call takes as long
however few of its rows are used. One compiled program serves all of these tests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any
from unittest.mock import patch

import numpy as np
from numpy.typing import NDArray

from watervane.inference.priors import prior_members
from watervane.process import tank_model
from watervane.process.arrays import jax, jnp, kernel
from watervane.process.day_grid import Grid
from watervane.process.day_program import ROWS_PER_CALL, Rows, padded
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.program import GEOMETRY_NAMES, _begun, _halfway, _unpack_row, pack_rows
from watervane.process.run import Members, initial_state
from watervane.process.state import TankState
from watervane.process.timeline import Timeline

MEMBERS = 32
LUCK = 0.5  # of cleaning and seeding
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Batch:
    """Members of one timeline, each with its own parameters and geometry."""

    line: Timeline
    theta: dict[str, Numbers]
    geometry: dict[str, Numbers]
    source: Numbers
    start: TankState


@dataclass(frozen=True)
class Piece:
    """What happened in the rows of one call, whatever days they are of; (rows, ..., members)."""

    food: Numbers
    rows: Mapping[str, Numbers]
    starts_d: Numbers
    before: TankState
    acted: TankState
    after: TankState
    extents: Numbers
    outputs: Numbers


def prior_batch(line: Timeline, seed: int = 1) -> Batch:
    """Members drawn from the prior, all in the tank as it stands."""
    members = prior_members(line.tank, np.arange(MEMBERS), seed)
    return batch_of(line, members)


def batch_of(line: Timeline, members: Members) -> Batch:
    """Members as they are, in their first state."""
    start = initial_state(line, members)
    theta = {n: np.array(members.parameters[n])[None, :] for n in PARAMETER_NAMES}
    geometry = {n: np.full((1, MEMBERS), line.geometry[n]) for n in GEOMETRY_NAMES}
    start = TankState(*(np.array(a) for a in start))
    return Batch(line, theta, geometry, members.source[:, None, :], start)


def run(
    batch: Batch,
    days: tuple[int, int],
    steps: int | Grid,
    *,
    food: Callable[[int], Numbers] = lambda _: np.ones(MEMBERS),
) -> Iterator[Piece]:
    """Run day after day, ``steps`` even steps a day, or a grid, cut further by events.

    ``food`` gives a day's food multipliers, one a member.
    """
    state = TankState(*(jnp.asarray(a) for a in batch.start))
    theta = jnp.asarray(np.stack([batch.theta[n] for n in PARAMETER_NAMES]))
    geometry = jnp.asarray(np.stack([batch.geometry[n] for n in GEOMETRY_NAMES]))
    source = jnp.asarray(batch.source)
    luck = jnp.full((1, MEMBERS), LUCK)
    rows, starts, meals = _rows_of(batch, days, steps, food)
    for first, piece in zip(range(0, len(starts), ROWS_PER_CALL), padded(rows), strict=True):
        used = min(ROWS_PER_CALL, len(starts) - first)
        eaten = np.ones((ROWS_PER_CALL, 1, MEMBERS))
        eaten[:used, 0] = meals[first : first + used]
        state, kept = _scan(state, pack_rows(piece), eaten, theta, geometry, source, luck)
        before, acted, after, extents, outputs = jax.tree.map(
            lambda a, used=used: np.asarray(a)[:used, ..., 0, :], kept
        )
        yield Piece(
            eaten[:used, 0],
            {n: v[:used] for n, v in piece.items()},
            starts[first : first + used],
            before,
            acted,
            after,
            extents,
            outputs,
        )


def _rows_of(
    batch: Batch, days: tuple[int, int], steps: int | Grid, food: Callable[[int], Numbers]
) -> tuple[Rows, Numbers, Numbers]:
    """Rows of all days one after another, their starts and their food multipliers."""
    grid = Grid(steps) if isinstance(steps, int) else steps
    made = [(day, *batch.line.day_rows(day, grid)) for day in range(*days)]
    rows = {name: np.concatenate([each[name] for _, each, _ in made]) for name in made[0][1]}
    meals = np.concatenate([np.tile(food(day), (len(starts), 1)) for day, _, starts in made])
    return rows, np.concatenate([starts for _, _, starts in made]), meals


def final_amounts(pieces: Iterator[Piece]) -> Numbers:
    """Amounts at the end of a run, shape (components, members)."""
    last: Piece | None = None
    for piece in pieces:
        last = piece
    assert last is not None
    return last.after.amounts[-1]


# In the model's own kernels, which run four times as fast as all in one, and compiled in half the
# time that the compiler takes by itself for a program that is kept.
@partial(jax.jit, compiler_options={"xla_backend_optimization_level": 1})
def _scan(
    state: Any, packed: Any, eaten: Any, theta: Any, geometry: Any, source: Any, luck: Any
) -> tuple[Any, Any]:
    parameters = {n: theta[i] for i, n in enumerate(PARAMETER_NAMES)}
    sizes = {n: geometry[i] for i, n in enumerate(GEOMETRY_NAMES)}
    site = tank_model.site_of(parameters, sizes)

    def body(carry: Any, scanned: tuple[Any, Any]) -> tuple[Any, Any]:
        row, food = scanned
        noise = {
            "food": food,
            "luck": luck,
            "change": jnp.ones_like(food),
            "death": jnp.where(luck > 0.7, 1.0, 0.0),  # so that books close over it too
        }
        begun = _begun(carry, row, site, source, noise)
        after, extents, outputs = _ended(begun, _halfway(begun, row, site), row, site)
        return after, (carry, begun.state, after, extents, outputs)

    return jax.lax.scan(body, state, (packed, eaten))


@kernel
def _ended(begun: Any, half: Any, packed_row: Any, site: Any) -> tuple[Any, Any, Any]:
    """The row's end as the model does it, and the extents that it throws away."""
    seen: dict[str, Any] = {}
    step = tank_model.second_stage

    def watched(*args: Any) -> Any:
        amounts, seen["extents"] = step(*args)
        return amounts, seen["extents"]

    with patch.object(tank_model, "second_stage", watched):
        after, report = tank_model.end_row(begun, half, _unpack_row(packed_row), site)
    return after, seen["extents"], report.outputs
