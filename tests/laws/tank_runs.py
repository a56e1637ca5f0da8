"""A loop of the tests' own around the model's row: it keeps what the model throws away.

Every member may have its own geometry, so one run holds mild and extreme tanks side by side.
Rows come in calls of one size; one compiled program serves all of these tests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from unittest.mock import patch

import numpy as np
from numpy.typing import NDArray

from watervane.inference.priors import prior_members
from watervane.process import tank_model
from watervane.process.arrays import jax, jnp
from watervane.process.day_grid import Grid
from watervane.process.day_program import ROWS_PER_CALL, padded
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.program import GEOMETRY_NAMES, _unpack_row, pack_rows
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
    """What happened in the rows of one call; arrays are (rows, ..., members)."""

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
    for day in range(*days):
        meals = food(day)
        grid = Grid(steps) if isinstance(steps, int) else steps
        rows, starts = batch.line.day_rows(day, grid)
        for first, piece in zip(range(0, len(starts), ROWS_PER_CALL), padded(rows), strict=True):
            used = min(ROWS_PER_CALL, len(starts) - first)
            state, kept = _scan(
                state, pack_rows(piece), theta, geometry, source, meals[None, :], luck
            )
            before, acted, after, extents, outputs = jax.tree.map(
                lambda a, used=used: np.asarray(a)[:used, ..., 0, :], kept
            )
            yield Piece(
                meals,
                {n: v[:used] for n, v in piece.items()},
                starts[first : first + used],
                before,
                acted,
                after,
                extents,
                outputs,
            )


def final_amounts(pieces: Iterator[Piece]) -> Numbers:
    """Amounts at the end of a run, shape (components, members)."""
    last: Piece | None = None
    for piece in pieces:
        last = piece
    assert last is not None
    return last.after.amounts[-1]


@jax.jit
def _scan(
    state: Any, packed: Any, theta: Any, geometry: Any, source: Any, food: Any, luck: Any
) -> tuple[Any, Any]:
    parameters = {n: theta[i] for i, n in enumerate(PARAMETER_NAMES)}
    sizes = {n: geometry[i] for i, n in enumerate(GEOMETRY_NAMES)}
    site = tank_model.site_of(parameters, sizes)
    act, step = tank_model.act, tank_model.second_stage

    def body(carry: Any, row: Any) -> tuple[Any, Any]:
        seen: dict[str, Any] = {}

        def watched_act(*args: Any) -> Any:
            seen["acted"] = act(*args)
            return seen["acted"]

        def watched_step(*args: Any) -> Any:
            amounts, seen["extents"] = step(*args)
            return amounts, seen["extents"]

        with (
            patch.object(tank_model, "act", watched_act),
            patch.object(tank_model, "second_stage", watched_step),
        ):
            after, report = tank_model.advance_row(
                carry,
                _unpack_row(row),
                site,
                source,
                {
                    "food": food,
                    "luck": luck,
                    "change": jnp.ones_like(food),
                    "death": jnp.where(luck > 0.7, 1.0, 0.0),  # so that books close over it too
                },
            )
        return after, (carry, seen["acted"], after, seen["extents"], report.outputs)

    return jax.lax.scan(body, state, packed)
