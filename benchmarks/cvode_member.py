"""One member run by a compiled CVODE, restarted wherever something happens."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from sksundae.cvode import CVODE

from benchmarks.member_equations import COUNT, UNKNOWNS, Equations, Numbers, acted
from benchmarks.workload import Lanes, rows_between_events, rows_of_day
from watervane.process.arrays import jax, jnp
from watervane.process.day_grid import Grid
from watervane.process.state import TankState
from watervane.process.tank_model import site_of

ABSOLUTE_SHARE = 1e-3  # absolute tolerance over the relative one, in mg/L, mmol/L or meq/L
MOST_STEPS = 20_000


class StoppedError(ArithmeticError):
    """CVODE gave up; the message says where."""


@dataclass
class Run:
    """What one member's run found and took.

    Parameters
    ----------
    looks
        Days since filling and what was seen there.
    calls
        Of the slopes, those for Jacobians included.
    calls_stepping
        Those that are not for Jacobians.
    seconds, seconds_in_calls
        Of all CVODE's work, and the part of it spent in the slopes. [s]
    """

    looks: dict[float, Numbers] = field(default_factory=dict)
    calls: int = 0
    calls_stepping: int = 0
    seconds: float = 0.0
    seconds_in_calls: float = 0.0
    restarts: int = 0
    sample: tuple[Any, Any] | None = None  # arguments of one call of the slopes


class _Slopes:
    """The right-hand side as CVODE calls it."""

    def __init__(self, equations: Equations, run: Run) -> None:
        self.equations = equations
        self.given: Any = None
        self.ph = 7.5
        self._told = np.empty(UNKNOWNS + 2)
        self._run = run

    def __call__(self, since_d: float, unknowns: Numbers, change: Numbers) -> None:
        begun = time.perf_counter()
        found = self.at(since_d, unknowns)
        change[:] = found[:UNKNOWNS]
        self._run.calls += 1
        self._run.seconds_in_calls += time.perf_counter() - begun

    def at(self, since_d: float, unknowns: Numbers) -> Numbers:
        found = np.asarray(self.equations.slopes(self.told(since_d, unknowns), self.given))
        self.ph = float(found[UNKNOWNS])
        return found

    def settled(self, since_d: float, unknowns: Numbers) -> Numbers:
        """What CVODE would ask here, once the pH no longer moves with its guess."""
        for _ in range(3):
            self.at(since_d, unknowns)
        return self.told(since_d, unknowns)

    def told(self, since_d: float, unknowns: Numbers) -> Numbers:
        self._told[:UNKNOWNS] = unknowns
        self._told[UNKNOWNS], self._told[UNKNOWNS + 1] = since_d, self.ph
        return self._told.copy()


def equations_of(some: Lanes) -> Equations:
    """The equations of one member at a time."""
    alone = _alone(some, 0)
    row = rows_of_day(some.line, 0, Grid(1))[0][0]
    return Equations((row, alone["start"], alone["site"]))


def run_member(
    equations: Equations,
    some: Lanes,
    member: int,
    days: int,
    *,
    rtol: float,
    steps: int | None,
    looks: int,
) -> Run:
    """Run one member.

    Parameters
    ----------
    equations, some, member
        Whose turn it is.
    days
        From filling.
    rtol
        Relative tolerance of CVODE.
    steps
        Even parts a day is cut into besides its events; without, only events and midnight cut.
    looks
        Moments of each day at which the water is noted.

    Raises
    ------
    StoppedError
        Where CVODE gives up.
    """
    run = Run()
    right = _Slopes(equations, run)
    solver = CVODE(
        right, rtol=rtol, atol=rtol * ABSOLUTE_SHARE, method="BDF", max_num_steps=MOST_STEPS
    )
    alone = _alone(some, member)
    state = jax.tree.map(jnp.asarray, alone["start"])
    for day in range(days):
        rows, starts_d = _rows(some, day, steps)
        noise = {n: v[:, member : member + 1] for n, v in some.noise(day).items()}
        moments = day + np.arange(1, looks + 1) / looks
        for row, start_d in zip(rows, starts_d, strict=True):
            state = acted(state, row, alone["site"].theta, alone["source"], noise)
            length_d = float(row["step_d"].item())
            if length_d <= 0.0:
                continue
            given = (row, state, alone["site"])
            right.given = equations.packed(given)
            inside = moments[(moments > start_d + 1e-9) & (moments <= start_d + length_d + 1e-9)]
            state = _through(solver, right, run, state, (float(start_d), length_d), inside)
    return run


def _through(
    solver: Any,
    right: _Slopes,
    run: Run,
    state: TankState,
    span_d: tuple[float, float],
    looks_d: Numbers,
) -> TankState:
    """Integrate over one row."""
    start_d, length_d = span_d
    awake = [float(np.asarray(a).item()) for a in (state[-2], state[-1])]
    begin = np.concatenate([np.asarray(state.amounts).reshape(COUNT), awake])
    right.ph = float(np.asarray(state.ph).item())
    right.settled(0.0, begin)
    stops = np.unique(np.append(np.minimum(looks_d - start_d, length_d), length_d))
    stops = stops[np.append(np.diff(stops) > 1e-9, True)]
    begun = time.perf_counter()
    found = solver.solve(np.array([0.0, *stops]), begin)
    run.seconds += time.perf_counter() - begun
    run.restarts += 1
    run.calls_stepping += found.nfev
    if not found.success or abs(found.t[-1] - length_d) > 1e-9:
        raise StoppedError(f"CVODE stopped on day {start_d:.3f}: {found.message}")
    run.sample = (right.told(0.0, begin), right.given)
    for look_d in looks_d:
        k = int(np.argmin(np.abs(found.t - (look_d - start_d))))
        told = right.settled(float(found.t[k]), found.y[k])
        run.looks[round(float(look_d), 6)] = np.asarray(right.equations.seen(told, right.given))
    at_end = right.settled(length_d, found.y[-1])
    ended: TankState = right.equations.ended(at_end, right.given)
    return ended


def _rows(some: Lanes, day: int, steps: int | None) -> tuple[list[dict[str, Numbers]], Numbers]:
    if steps is None:
        return rows_between_events(some.line, day)
    return rows_of_day(some.line, day, Grid(steps))


def _alone(some: Lanes, member: int) -> Mapping[str, Any]:
    one = slice(member, member + 1)
    theta = {n: jnp.asarray(v[:, one]) for n, v in some.theta.items()}
    return {
        "start": TankState(*(np.asarray(a)[..., one] for a in some.start)),
        "site": site_of(theta, {n: jnp.asarray(v) for n, v in some.geometry.items()}),
        "source": jnp.asarray(some.source[..., one]),
    }
