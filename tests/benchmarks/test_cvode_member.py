"""CVODE solves the model's own equations, so that its times may stand beside ours."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.cvode_cost import cvode_cost, largest_error
from benchmarks.cvode_member import equations_of, run_member
from benchmarks.member_equations import COUNT, SEEN, UNKNOWNS
from benchmarks.workload import lanes, rows_between_events, rows_of_day

from watervane.process.day_grid import Grid
from watervane.process.state import MATRIX
from watervane.process.tank_model import site_of


def test_slopes_keep_every_atom_that_nothing_brings_or_takes() -> None:
    some = lanes(1, 1)
    equations = equations_of(some)
    row = rows_of_day(some.line, 0, Grid(1))[0][0]
    given = (row, some.start, site_of(some.theta, some.geometry))
    told = np.concatenate([some.start.amounts.reshape(COUNT), [1.0, 1.0, 0.0, 7.5]])
    found = np.asarray(equations.slopes(told, equations.packed(given)))[:UNKNOWNS]
    assert np.abs(found).max() > 0.0
    nitrogen = MATRIX.content[:, 0]
    assert abs(found[:COUNT] @ nitrogen) < 1e-9 * np.abs(found[:COUNT] * nitrogen).sum()


@pytest.mark.slow
def test_a_tighter_tolerance_comes_nearer_and_asks_more_often() -> None:
    some = lanes(1, 3)
    equations = equations_of(some)
    runs = [
        run_member(equations, some, 0, 3, rtol=rtol, steps=None, looks=8)
        for rtol in (1e-2, 1e-5, 1e-8)
    ]
    series = [np.array([list(run.looks.values())]) for run in runs]
    assert series[0].shape == (1, 24, len(SEEN))
    assert largest_error(series[1], series[2]) < largest_error(series[0], series[2])
    assert runs[0].calls < runs[1].calls < runs[2].calls
    assert 0 < runs[0].calls_stepping < runs[0].calls


def test_only_events_and_midnight_cut_what_cvode_runs_through() -> None:
    line = lanes(1, 9).line
    rows, starts_d = rows_between_events(line, 7)  # with a water change
    all_rows, _ = rows_of_day(line, 7, Grid(1))
    assert len(rows) < len(all_rows)
    assert sum(row["step_d"].item() for row in rows) == pytest.approx(1.0)
    ends = [start + row["step_d"].item() for start, row in zip(starts_d, rows, strict=True)]
    np.testing.assert_allclose(ends, [*starts_d[1:], 8.0])
    acting = [sum(bool(row["acts"].any()) for row in some) for some in (rows, all_rows)]
    assert acting[0] == acting[1] > 0


@pytest.mark.slow
def test_our_scheme_comes_near_a_tight_cvode() -> None:
    cost = cvode_cost(1, 3)
    assert cost.errors["printed"] < cost.errors["sampling"] < 0.02
    assert cost.errors["CVODE"] <= cost.errors["sampling"]
    assert 0.0 < cost.without_jacobians_s < cost.least_s < cost.in_slopes_s < cost.as_is_s


def test_an_error_counts_over_the_largest_value_or_what_is_shown() -> None:
    exact = np.zeros((1, 2, len(SEEN)))
    exact[0, 1, SEEN.index("nitrate_mg_n_per_l")] = 10.0
    off = exact.copy()
    off[0, 0, SEEN.index("nitrate_mg_n_per_l")] = 0.1
    assert largest_error(off, exact) == pytest.approx(0.01)
    off[0, 0, SEEN.index("ammonia_mg_n_per_l")] = 0.01
    assert largest_error(off, exact) == pytest.approx(0.2)
