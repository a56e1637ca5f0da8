"""The step itself: order, stability, conservation, and never an overdraft."""

from __future__ import annotations

from functools import cache
from typing import Any

import jax
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.process.arrays import jnp
from watervane.process.integrate import ProcessSystem, extents_step


def _decay(rate: float, known: float = 1.0) -> tuple[ProcessSystem, Any]:
    """One pool that relaxes to 2; ``known`` of the true slope is told."""
    system = ProcessSystem(("relaxing",), np.array([[1.0]]), {"relaxing": 0}, (0,))

    def evaluate(state: Any) -> Any:
        return (
            {"relaxing": -rate * (state[0] - 2.0)},
            {"relaxing": -known * rate * jnp.ones_like(state[0])},
        )

    return system, evaluate


def _stepping(system: ProcessSystem, evaluate: Any) -> Any:
    """The step, compiled: many are taken of one system."""
    return jax.jit(lambda state, step: extents_step(system, state, step, evaluate))


def _end(system: ProcessSystem, evaluate: Any, start: list[float], step: float, n: int) -> Any:
    state, stepping = jnp.array(start)[:, None], _stepping(system, evaluate)
    for _ in range(n):
        state, _ = stepping(state, step)
    return np.asarray(state)[:, 0]


@pytest.mark.parametrize("known", [1.0, 0.6, 0.0, 1.7])
def test_second_order_whatever_slope_is_told(known: float) -> None:
    system, evaluate = _decay(3.0, known)
    exact = 2.0 + 5.0 * np.exp(-3.0)
    errors = [abs(_end(system, evaluate, [7.0], 1.0 / n, n)[0] - exact) for n in (20, 40, 80)]
    slopes = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert np.all((slopes > 1.8) & (slopes < 2.3)), errors


@pytest.mark.parametrize(
    "stiffness",
    [
        1.0,
        pytest.param(3.0, marks=pytest.mark.slow),
        10.0,
        pytest.param(1e2, marks=pytest.mark.slow),
        pytest.param(1e4, marks=pytest.mark.slow),
        1e8,
    ],
)
def test_a_stiff_pool_comes_to_rest_and_never_swings_wide(stiffness: float) -> None:
    system, evaluate = _decay(stiffness)
    state, stepping = jnp.array([[7.0]]), _stepping(system, evaluate)
    deviations = [5.0]
    for _ in range(30):
        state, _ = stepping(state, 1.0)
        deviations.append(float(state[0, 0]) - 2.0)
    assert min(deviations) > -0.2 * 5.0
    assert abs(deviations[-1]) < 1e-6


@pytest.mark.slow
def test_the_middle_stage_of_a_stiff_pool_stays_on_its_own_side() -> None:
    """CO2 is far from linear on the other side: the reason gamma widens."""
    seen: list[float] = []
    for stiffness in np.geomspace(0.01, 1e6, 60):
        system, evaluate = _decay(float(stiffness))

        def watched(state: Any, evaluate: Any = evaluate) -> Any:
            seen.append(float(state[0, 0]))
            return evaluate(state)

        extents_step(system, jnp.array([[7.0]]), 1.0, watched)
    assert min(seen) >= 2.0 - 1e-9


def _chain() -> tuple[ProcessSystem, Any]:
    """A to B to C with Monod rates; both draw on oxygen."""
    system = ProcessSystem(
        ("first", "second"),
        np.array([[-1.0, 1.0, 0.0, -3.4], [0.0, -1.0, 1.0, -1.1]]),
        {"first": 0, "second": 1},
        (0, 1),
        never_negative=(0, 1, 3),
    )

    def evaluate(state: Any) -> Any:
        a, b, _, oxygen = (jnp.maximum(x, 0.0) for x in state)
        breath = oxygen / (0.5 + oxygen)
        return (
            {"first": 40.0 * a / (0.2 + a) * breath, "second": 25.0 * b / (0.3 + b) * breath},
            {
                "first": 40.0 * 0.2 / (0.2 + a) ** 2 * breath,
                "second": 25.0 * 0.3 / (0.3 + b) ** 2 * breath,
            },
        )

    return system, evaluate


@cache
def _chain_stepping() -> Any:
    return _stepping(*_chain())


@given(
    st.lists(st.floats(0.0, 10.0), min_size=4, max_size=4),
    st.floats(1e-4, 2.0),
)
@settings(max_examples=60, deadline=None)
def test_nothing_is_overdrawn_and_nothing_lost(start: list[float], step: float) -> None:
    state = jnp.array(start)[:, None]
    for _ in range(5):
        state, extents = _chain_stepping()(state, step)
        assert np.all(np.isfinite(np.asarray(extents)))
    a, b, c, oxygen = np.asarray(state)[:, 0]
    assert min(a, b, oxygen) >= -1e-12
    assert a + b + c == pytest.approx(sum(start[:3]), rel=1e-12, abs=1e-12)


def test_the_state_moves_by_the_matrix_times_the_extents() -> None:
    system, evaluate = _chain()
    start = jnp.array([3.0, 1.0, 0.0, 8.0])[:, None]
    state, extents = extents_step(system, start, 0.1, evaluate)
    moved = system.coefficients.T @ np.asarray(extents)
    assert np.allclose(np.asarray(state - start), moved, rtol=1e-14, atol=1e-14)


def test_a_control_that_names_no_process_is_refused() -> None:
    with pytest.raises(ValueError, match="unknown processes: \\['other'\\]"):
        ProcessSystem(("one",), np.eye(1), {"other": 0}, (0,))


def test_a_controlling_pool_needs_a_place_in_the_order() -> None:
    with pytest.raises(ValueError, match="no place in the order"):
        ProcessSystem(("one",), np.eye(1), {"one": 0}, ())
