"""Members of a tank run forward day by day, in blocks spread over threads."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import jnp
from watervane.process.daily_noise import DailyNoise
from watervane.process.day_grid import grid_of
from watervane.process.day_points import TINY_D
from watervane.process.day_program import (
    REPORTS_PER_CALL,
    ROWS_PER_CALL,
    Action,
    Rows,
    padded,
    pieces_of,
)
from watervane.process.geometry import PLANTED_SHARE, STOCK_OF_LIMESTONE_MMOL_PER_L
from watervane.process.kept_program import KeptProgram
from watervane.process.program import pack_geometry, pack_parameters, pack_rows, run_rows
from watervane.process.rates.nitrifiers import GUILDS, HABITATS
from watervane.process.state import COLUMN, COMPONENTS, OUTPUTS, TankState
from watervane.process.timeline import Timeline

# Members of a tank that run together: a call costs as much however few of its lanes are needed,
# and narrower ones cost more a lane.
BLOCK_MEMBERS, NARROW_MEMBERS = 500, 250
Parameters = Mapping[str, NDArray[np.float64]]
day_rows_program = KeptProgram(run_rows, "run_rows")
Progress = Callable[[float], None]


@dataclass(frozen=True)
class Members:
    """Members of one tank: who they are and what sets them apart.

    Parameters
    ----------
    numbers
        Member numbers, keys of their noise, shape (members,).
    parameters
        By name, shape (members,) each.
    source
        Source water, shape (components, members).
    seed
        Of the forecast.
    told
        Noise that is not keyed but comes with the members, see `DailyNoise`.
    """

    numbers: NDArray[np.int64]
    parameters: Parameters
    source: NDArray[np.float64]
    seed: int
    told: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.numbers)

    def chosen(self, index: NDArray[np.int64]) -> Members:
        """Some of the members, in that order, repeats allowed."""
        return Members(
            self.numbers[index],
            {n: v[index] for n, v in self.parameters.items()},
            self.source[:, index],
            self.seed,
            {n: v[:, index] for n, v in self.told.items()},
        )


@dataclass
class Course:
    """What a run left behind.

    Parameters
    ----------
    stops_d
        Moments reported. [d]
    outputs
        In the order of `OUTPUTS`, shape (outputs, stops, members).
    daily_means
        Of ammonia and nitrite, shape (days, 2, members). [mg N/L]
    final
        State after the last day, arrays with one tank.
    checkpoints
        State at the start of each day asked for.
    """

    stops_d: NDArray[np.float64]
    outputs: NDArray[np.float64]
    daily_means: NDArray[np.float64]
    first_day: int
    final: TankState
    checkpoints: dict[int, TankState] = field(default_factory=dict)

    def output(self, name: str) -> NDArray[np.float64]:
        """One output, shape (stops, members)."""
        result: NDArray[np.float64] = self.outputs[OUTPUTS.index(name)]
        return result


def initial_state(timeline: Timeline, members: Members) -> TankState:
    """Fill the tank with source water and a trace of each colony."""
    count = len(members)
    conditioned = timeline.tank.fill_conditioned
    amounts = np.array(members.source)
    if conditioned:
        amounts[COLUMN["ammonia"]] += amounts[COLUMN["chloramine"]] * 14.0067 / 70.906
        amounts[COLUMN["chloride"]] += (
            amounts[COLUMN["chlorine"]] + amounts[COLUMN["chloramine"]]
        ) / 70.906
        amounts[COLUMN["alkalinity"]] -= amounts[COLUMN["chlorine"]] / 70.906
        amounts[[COLUMN["chlorine"], COLUMN["chloramine"]]] = 0.0
    geometry = timeline.geometry
    areas = np.array([geometry[f"{h}_area_m2"] for h in HABITATS])
    for guild in GUILDS:
        start = members.parameters[f"initial_{guild}_oxidisers_mg_per_l"]
        for habitat, area in zip(HABITATS, areas, strict=True):
            amounts[COLUMN[f"{guild}_oxidisers_{habitat}"]] = start * area / areas.sum()
    amounts[COLUMN["plant_nitrogen"]] = (
        PLANTED_SHARE
        * geometry["plant_ceiling_mg_n_per_l"]
        * members.parameters["plant_multiplier"]
    )
    amounts[COLUMN["algal_nitrogen"]] = (
        0.01 * geometry["algal_ceiling_mg_n_per_l"] * members.parameters["algal_multiplier"]
    )
    amounts[COLUMN["calcium_carbonate"]] = (
        STOCK_OF_LIMESTONE_MMOL_PER_L if geometry["carbonate_dissolution_mmol_per_l_d"] else 0.0
    )
    warm = max(timeline.setting("heater_set_point_c", 0.0, 20.0), 20.0)
    ones = np.ones((1, count))
    return TankState(amounts[:, None, :], ones, warm * ones, 7.5 * ones, ones.copy(), ones.copy())


def simulate(
    timeline: Timeline,
    members: Members,
    start: TankState,
    days: tuple[int, int],
    *,
    stops_d: Sequence[float] = (),
    accuracy: str = "sampling",
    threads: int = 2,
    food_noise: bool = True,
    extra: Sequence[Action] = (),
    checkpoint_days: Sequence[int] = (),
    plan: Plan | None = None,
    progress: Progress | None = None,
) -> Course:
    """Run members over the local days ``days[0] .. days[1] - 1``.

    Parameters
    ----------
    timeline
        The tank's actions and surroundings.
    members
        Whose parameters to use.
    start
        State at the start of the first day, one tank by members.
    stops_d
        Moments to report. [d]
    accuracy
        ``screening``, ``sampling`` or ``printed``, see `grid_of`.
    threads
        Blocks of members run side by side; results do not depend on it.
    food_noise
        Whether meals, changes and rates vary from day to day about what was told.
    extra
        Actions besides the log's.
    checkpoint_days
        Days at whose start the state is kept.
    plan
        Of the same days, stops and actions, from `plan_days`, where it serves several runs.
    progress
        Called with the share done.
    """
    if plan is None:
        plan = plan_days(timeline, days, stops_d=stops_d, accuracy=accuracy, extra=extra)
    count = len(members)
    blocks = blocks_of(count)
    done = [0]
    steps = len(plan) * len(blocks)

    def tick() -> None:
        done[0] += 1
        if progress is not None:
            progress(done[0] / max(steps, 1))

    def work(block: NDArray[np.int64]) -> _BlockCourse:
        return _run_block(members, start, block, plan, food_noise, checkpoint_days, tick)

    if threads > 1 and len(blocks) > 1:
        with ThreadPoolExecutor(threads) as pool:
            parts = list(pool.map(work, blocks))
    else:
        parts = [work(b) for b in blocks]
    reported = np.array([s for day in plan for s in day.stops_d])
    return Course(
        reported,
        np.concatenate([p.outputs for p in parts], axis=-1),
        np.concatenate([p.means for p in parts], axis=-1),
        days[0],
        _joined([p.final for p in parts]),
        {d: _joined([p.checkpoints[d] for p in parts]) for d in parts[0].checkpoints},
    )


def lanes_for(count: int) -> int:
    """How wide the block is that so many members run in."""
    narrow = min(NARROW_MEMBERS, BLOCK_MEMBERS)
    return narrow if count <= narrow else BLOCK_MEMBERS


def blocks_of(count: int) -> list[NDArray[np.int64]]:
    """Members by block; two narrow ones in place of a wide one, which would keep one core."""
    narrow = min(NARROW_MEMBERS, BLOCK_MEMBERS)
    width = narrow if count <= 2 * narrow else BLOCK_MEMBERS
    return [np.arange(i, min(i + width, count)) for i in range(0, count, width)]


@dataclass(frozen=True)
class _DayPlan:
    day: int
    length_d: float
    pieces: tuple[_Piece, ...]
    stops_d: tuple[float, ...]


@dataclass(frozen=True)
class _Piece:
    packed: NDArray[np.float64]
    slots: NDArray[np.int32]  # of each row's report
    count: int  # rows used
    reports: NDArray[np.int64]  # slot of each stop that falls into this piece
    geometry: NDArray[np.float64]  # of the tank meanwhile


@dataclass
class _BlockCourse:
    outputs: NDArray[np.float64]
    means: NDArray[np.float64]
    final: TankState
    checkpoints: dict[int, TankState]


Plan = Sequence[_DayPlan]


def plan_days(
    timeline: Timeline,
    days: tuple[int, int],
    *,
    stops_d: Sequence[float] = (),
    accuracy: str = "sampling",
    extra: Sequence[Action] = (),
) -> Plan:
    """Write the rows of all days; see `simulate`."""
    plan = []
    wanted = sorted(stops_d)
    grid = grid_of(accuracy, timeline.geometry["gas_transfer_per_h"])
    filled = pack_geometry(timeline.geometry)

    def made_of(at_d: float) -> NDArray[np.float64]:
        told = timeline.geometry_at(at_d)
        return filled if told is timeline.geometry else pack_geometry(told)

    for day in range(*days):
        begin, end = timeline.calendar.bounds_d(day)
        stops = tuple(s for s in wanted if begin <= s < end)
        rows, starts = timeline.day_rows(day, grid, stops, tuple(extra))
        # The first row of that moment reports before anything is done then.
        index = np.array([int(np.searchsorted(starts, s - 1e-9)) for s in stops], dtype=np.int64)
        places = [int(np.searchsorted(starts, d + TINY_D)) - 1 for d in timeline.refitted_d(day)]
        pieces = _pieces(rows, starts, index, places, made_of)
        plan.append(_DayPlan(day, end - begin, pieces, stops))
    return plan


def _pieces(
    rows: Rows,
    starts_d: NDArray[np.float64],
    reported: NDArray[np.int64],
    apart: Sequence[int],
    made_of: Callable[[float], NDArray[np.float64]],
) -> tuple[_Piece, ...]:
    """Calls of the compiled program that make a day."""
    cuts = pieces_of(len(rows["step_d"]), reported.tolist(), apart=apart)
    found = []
    for (start, stop), piece in zip(cuts, padded(rows, cuts=cuts), strict=True):
        inside = reported[(reported >= start) & (reported < stop)] - start
        asked, place = np.unique(inside, return_inverse=True)
        slots = np.full(ROWS_PER_CALL, REPORTS_PER_CALL, dtype=np.int32)
        slots[asked] = np.arange(len(asked))
        geometry = made_of(float(starts_d[start]))
        found.append(_Piece(pack_rows(piece), slots, stop - start, place, geometry))
    return tuple(found)


def _run_block(
    members: Members,
    start: TankState,
    block: NDArray[np.int64],
    plan: Plan,
    food_noise: bool,  # noqa: FBT001 - passed on by the one caller
    checkpoint_days: Sequence[int],
    tick: Callable[[], None],
) -> _BlockCourse:
    """Run one block, filled up to its full width with copies of its last member."""
    width = len(block)
    lanes = np.concatenate([block, np.full(lanes_for(width) - width, block[-1])])
    numbers = members.numbers[lanes]
    theta = jnp.asarray(
        pack_parameters({n: v[lanes][None, :] for n, v in members.parameters.items()})
    )
    source = jnp.asarray(members.source[:, lanes][:, None, :])
    state = TankState(*(jnp.asarray(np.asarray(a)[..., lanes]) for a in start))
    daily = DailyNoise(
        members.seed,
        numbers,
        {n: v[:, lanes] for n, v in members.told.items()},
        plan[-1].day if plan else 0,
        quiet=not food_noise,
    )
    outputs, means = [], []
    checkpoints: dict[int, TankState] = {}
    for day in plan:
        if day.day in checkpoint_days:
            checkpoints[day.day] = _trimmed(state, width)
        noise = daily.of_day(day.day)
        integral = np.zeros((2, width))
        for piece in day.pieces:
            state, out, part = day_rows_program(
                state,
                piece.packed,
                piece.slots,
                piece.count,
                theta,
                piece.geometry,
                source,
                noise,
            )
            integral += np.asarray(part)[:, 0, :width]
            if len(piece.reports):
                outputs.append(np.asarray(out)[piece.reports, :, 0, :width])
        means.append(integral / day.length_d)
        tick()
    stacked = np.concatenate(outputs) if outputs else np.zeros((0, len(OUTPUTS), width))
    return _BlockCourse(
        stacked.swapaxes(0, 1), np.stack(means), _trimmed(state, width), checkpoints
    )


def _trimmed(state: TankState, width: int) -> TankState:
    return TankState(*(np.asarray(a)[..., :width] for a in state))


def _joined(states: list[TankState]) -> TankState:
    return TankState(*(np.concatenate(parts, axis=-1) for parts in zip(*states, strict=True)))


def chosen_state(state: TankState, index: NDArray[np.int64]) -> TankState:
    """The state of some members, repeats allowed."""
    return TankState(*(np.asarray(a)[..., index] for a in state))


__all__ = [
    "BLOCK_MEMBERS",
    "COMPONENTS",
    "Course",
    "Members",
    "blocks_of",
    "chosen_state",
    "day_rows_program",
    "initial_state",
    "lanes_for",
    "plan_days",
    "simulate",
]
