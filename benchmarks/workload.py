"""The invented tank every part of the page runs, and its members as the compiled program wants."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from watervane.inference.priors import prior_members
from watervane.process.daily_noise import NOISE_NAMES, DailyNoise
from watervane.process.day_grid import Grid
from watervane.process.day_program import FORCING_FIELDS
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.program import GEOMETRY_NAMES
from watervane.process.run import Members, initial_state
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import AnimalsIn, Feed, Habit, SourceWater, Span, Tank, WaterChange

SEED = 1
UTC = ZoneInfo("UTC")
Numbers = NDArray[np.float64]


def tank() -> Tank:
    """An invented tank: daily food, weekly changes."""
    morning = datetime(2026, 3, 2, 8, tzinfo=UTC)
    return Tank(
        name="benchmark",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=5.0, gh_dgh=8.0, chlorine_mg_per_l=0.2),
        events=(AnimalsIn(at=morning, species="Danio rerio", count=8, length_cm=3.0),),
        habits=(
            Habit(
                template=Feed(at=morning, mass_g=Span.exact(0.1)),
                every_days=1,
                start=morning.date(),
            ),
            Habit(
                template=WaterChange(at=morning.replace(hour=12), fraction=0.2),
                every_days=7,
                start=date(2026, 3, 8),
            ),
        ),
    )


@dataclass(frozen=True)
class Lanes:
    """Members side by side, as a row of the model takes them.

    Parameters
    ----------
    start
        State when the tank is filled.
    theta, geometry
        By name, shape (1, members) and (1, 1).
    source
        Shape (components, 1, members).
    """

    line: Timeline
    members: Members
    start: TankState
    theta: dict[str, Numbers]
    geometry: dict[str, Numbers]
    source: Numbers

    def noise(self, day: int) -> dict[str, Numbers]:
        """Noise of a day that is as told, by stream, shape (1, members) each."""
        daily = DailyNoise(SEED, self.members.numbers, {}, day, quiet=True)
        return dict(zip(NOISE_NAMES, daily.of_day(day), strict=True))


def lanes(count: int, days: int) -> Lanes:
    """Make so many members of the benchmark tank ready."""
    line = timeline(tank(), days)
    members = prior_members(line.tank, np.arange(count), SEED)
    return Lanes(
        line,
        members,
        TankState(*(np.asarray(a) for a in initial_state(line, members))),
        {name: members.parameters[name][None, :] for name in PARAMETER_NAMES},
        {name: np.full((1, 1), line.geometry[name]) for name in GEOMETRY_NAMES},
        members.source[:, None, :],
    )


def rows_of_day(line: Timeline, day: int, grid: Grid) -> tuple[list[dict[str, Numbers]], Numbers]:
    """Rows of a day, one by one, and when each begins. [d]"""
    rows, starts_d = line.day_rows(day, grid)
    count = len(starts_d)
    return [{n: v[i] for n, v in rows.items()} for i in range(count)], np.asarray(starts_d)


def rows_between_events(line: Timeline, day: int) -> tuple[list[dict[str, Numbers]], Numbers]:
    """Rows of a day as `rows_of_day`, cut only where something is done or changes."""
    rows, starts_d = rows_of_day(line, day, Grid(1))
    kept: list[int] = []
    for i, row in enumerate(rows):
        if kept and not row["acts"].any() and _alike(row, rows[kept[-1]]):
            last = rows[kept[-1]]
            rows[kept[-1]] = {**last, "step_d": last["step_d"] + row["step_d"]}
        else:
            kept.append(i)
    return [rows[i] for i in kept], starts_d[kept]


def _alike(one: dict[str, Numbers], other: dict[str, Numbers]) -> bool:
    names = [name for name in FORCING_FIELDS if name != "step_d"]
    return all(np.array_equal(one[name], other[name]) for name in names)


def shortest_s(work: Callable[[], object], repeats: int) -> float:
    """Shortest time of some runs. [s]"""
    best = float("inf")
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begun)
    return best
