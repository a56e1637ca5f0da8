"""What a member costs with CVODE, at an accuracy like our sampling."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from benchmarks.cvode_member import Run, equations_of, run_member
from benchmarks.member_equations import SEEN, Equations, Numbers
from benchmarks.workload import Lanes, lanes
from watervane.process.day_grid import ACCURACIES
from watervane.process.run import simulate
from watervane.process.state import OUTPUTS

LOOKS_PER_DAY = 8
TIGHT, TIGHT_STEPS = 1e-8, 48
TOLERANCES = (1e-2, 1e-3, 1e-4, 1e-5, 1e-6)
# An error counts over the largest value of its series, and no less than what a forecast shows.
SHOWN = {
    "ammonia_mg_n_per_l": 0.05,
    "nitrite_mg_n_per_l": 0.05,
    "nitrate_mg_n_per_l": 0.5,
    "alkalinity_meq_per_l": 0.5,
    "oxygen_mg_per_l": 8.0,
    "free_ammonia_mg_n_per_l": 0.005,
    "ph": 7.0,
    "temperature_c": 20.0,
}


class NotAccurateError(ArithmeticError):
    """No tolerance tried came near the accuracy asked for."""


@dataclass(frozen=True)
class CvodeCost:
    """What CVODE took, for one member and day unless told otherwise.

    Parameters
    ----------
    rtol
        The loosest tolerance tried whose error is no larger than sampling's. [-]
    errors
        Largest relative error against a tight CVODE, by way of running. [-]
    as_is_s, in_slopes_s
        All CVODE's work, and its part in calling the slopes. [s]
    calls, calls_stepping, restarts
        Of the slopes, of those not for Jacobians, and of CVODE.
    slopes_s
        One evaluation of the slopes inside a compiled loop. [s]
    """

    members: int
    days: int
    rtol: float
    errors: dict[str, float]
    as_is_s: float
    in_slopes_s: float
    calls: float
    calls_stepping: float
    restarts: float
    slopes_s: float

    @property
    def least_s(self) -> float:
        """Only its calls of the slopes, at the cost of compiled ones. [s]"""
        return self.calls * self.slopes_s

    @property
    def without_jacobians_s(self) -> float:
        """As `least_s`, as if Jacobians were free. [s]"""
        return self.calls_stepping * self.slopes_s


def cvode_cost(members: int, days: int) -> CvodeCost:
    """Find the tolerance, then the cost.

    Raises
    ------
    NotAccurateError
        If even the tightest tolerance tried is less accurate than sampling.
    """
    some = lanes(members, days)
    equations = equations_of(some)
    tight = _all(equations, some, days, TIGHT, TIGHT_STEPS)
    exact = np.stack([_series(run) for run in tight])
    errors = {a: largest_error(_ours(some, days, a), exact) for a in ACCURACIES}
    for rtol in TOLERANCES:
        runs = _all(equations, some, days, rtol, None)
        errors["CVODE"] = largest_error(np.stack([_series(run) for run in runs]), exact)
        if errors["CVODE"] <= errors["sampling"]:
            break
    else:
        raise NotAccurateError(f"CVODE at {TOLERANCES[-1]:g} is off by {errors['CVODE']:.1e}")
    share = 1.0 / (members * days)
    return CvodeCost(
        members,
        days,
        rtol,
        errors,
        share * sum(run.seconds for run in runs),
        share * sum(run.seconds_in_calls for run in runs),
        share * sum(run.calls for run in runs),
        share * sum(run.calls_stepping for run in runs),
        share * sum(run.restarts for run in runs),
        _slopes_s(equations, runs[0]),
    )


def largest_error(found: Numbers, exact: Numbers) -> float:
    """Largest error of any series, shape (members, moments, `SEEN`), over its largest value."""
    least = np.array([SHOWN[name] for name in SEEN])
    most = np.maximum(np.abs(exact).max(axis=1), least)
    return float(np.max(np.abs(found - exact).max(axis=1) / most))


def _all(equations: Equations, some: Lanes, days: int, rtol: float, steps: int | None) -> list[Run]:
    return [
        run_member(equations, some, m, days, rtol=rtol, steps=steps, looks=LOOKS_PER_DAY)
        for m in range(len(some.members))
    ]


def _series(run: Run) -> Numbers:
    """What was seen, shape (moments, `SEEN`); not the very end, where ours does not look."""
    return np.array([run.looks[moment] for moment in sorted(run.looks)[:-1]])


def _ours(some: Lanes, days: int, accuracy: str) -> Numbers:
    moments = np.arange(1, days * LOOKS_PER_DAY) / LOOKS_PER_DAY
    course = simulate(
        some.line,
        some.members,
        some.start,
        (0, days),
        stops_d=tuple(moments),
        accuracy=accuracy,
        food_noise=False,
    )
    wanted = [OUTPUTS.index(name) for name in SEEN]
    return np.asarray(course.outputs[wanted].transpose(2, 1, 0))


def _slopes_s(equations: Equations, run: Run, times: int = 2000, repeats: int = 3) -> float:
    """Seconds of one evaluation of the slopes, called from compiled code. [s]"""
    if run.sample is None:
        raise NotAccurateError("CVODE never ran")
    told, given = run.sample
    np.asarray(equations.many_slopes(told, given, 1))
    best = float("inf")
    for _ in range(repeats):
        begun = time.perf_counter()
        np.asarray(equations.many_slopes(told, given, times))
        best = min(best, time.perf_counter() - begun)
    return best / times
