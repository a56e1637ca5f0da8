"""A two-stage Rosenbrock step that solves for process extents.

The state moves by the matrix times the extents, so what the matrix conserves the
step conserves, whatever the step size. The scheme is the W-method ROS2 of Verwer,
Spee, Blom and Hundsdorfer (1999, SIAM J. Sci. Comput. 20:1456; from memory): second
order for any approximate Jacobian, L-stable for the exact one with gamma = 1 -+ 1/sqrt(2).
Ours keeps, for each process, the slope with respect to the one component that
controls it; solved component by component, that couples all processes which draw on
the same pool without a matrix inversion.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import Array, apart, at_least, at_most, between, jax, jnp

GAMMA = 1.0 - 1.0 / np.sqrt(2.0)

Rates = Mapping[str, Array]
Slopes = Mapping[str, Array]
Evaluate = Callable[[Array], tuple[Rates, Slopes]]


@dataclass(frozen=True, eq=False)
class ProcessSystem:
    """What the step needs to know of a model.

    Parameters
    ----------
    processes
        Names, in the order of the rows of ``coefficients``.
    coefficients
        Processes by components.
    controls
        Process name to the column of the component its slope refers to.
    solving_order
        Controlling columns, upstream first; influence against this order is left
        to the explicit part.
    never_negative
        Columns whose consumers are slowed together rather than overdraw them.
    """

    processes: tuple[str, ...]
    coefficients: NDArray[np.float64]
    controls: Mapping[str, int]
    solving_order: tuple[int, ...]
    never_negative: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        unknown = set(self.controls) - set(self.processes)
        if unknown:
            raise ValueError(f"controls name unknown processes: {sorted(unknown)}")
        missing = set(self.controls.values()) - set(self.solving_order)
        if missing:
            raise ValueError(f"controlling columns {sorted(missing)} have no place in the order")


def extents_step(
    system: ProcessSystem, state: Array, step_d: Array, evaluate: Evaluate
) -> tuple[Array, Array]:
    """Advance a state by one step.

    Parameters
    ----------
    system
        The model's stoichiometry.
    state
        Amounts, shape (components, ...).
    step_d
        Length of the step. [d]
    evaluate
        State to rates per day by process name, and to their slopes with respect to
        the controlling component, shape (...) each.

    Returns
    -------
    state, extents
        The new state, and how far each process went, shape (processes, ...).
    """
    begun = first_stage(system, state, step_d, evaluate(state))
    rates_end, _ = evaluate(begun.water)
    return second_stage(system, state, step_d, begun, rates_end)


class Damping(NamedTuple):
    """Slopes times gamma h by process, and the damping of each controlling column."""

    slopes: dict[str, Array]
    columns: dict[int, Array]


class FirstStage(NamedTuple):
    """What the first stage hands to the second: rates, how stiff pools are, where it led."""

    rates: Array
    damping: Damping
    water: Array


def first_stage(
    system: ProcessSystem, state: Array, step_d: Array, evaluated: tuple[Rates, Slopes]
) -> FirstStage:
    """Take the first of both stages; see `extents_step`."""
    rates, slopes = evaluated
    damping = _damping(system, slopes, step_d)
    first = _implicit_rates(system, [rates[p] for p in system.processes], damping)
    water = _moved(system, state, [step_d * k for k in first])
    return FirstStage(jnp.stack(first), damping, water)


def second_stage(
    system: ProcessSystem, state: Array, step_d: Array, begun: FirstStage, rates_end: Rates
) -> tuple[Array, Array]:
    """Take the second stage, and the step; see `extents_step`."""
    first = list(begun.rates)
    right = [rates_end[p] - 2.0 * k for p, k in zip(system.processes, first, strict=True)]
    second = _implicit_rates(system, right, begun.damping)
    extents = [step_d * (1.5 * a + 0.5 * b) for a, b in zip(first, second, strict=True)]
    ended = _moved(system, state, extents)
    overdrawn = ended[np.array(system.never_negative, dtype=int)] < 0.0
    result: tuple[Array, Array] = jax.lax.cond(
        jnp.any(overdrawn),
        lambda: _spared(system, state, extents),
        lambda: (ended, jnp.stack(extents)),
    )
    return result


@apart("system")
def _spared(system: ProcessSystem, state: Array, extents: list[Array]) -> tuple[Array, Array]:
    """State and extents with overdrafts avoided."""
    slowed = _without_overdraft(system, state, extents)
    return _moved(system, state, list(slowed)), slowed


@apart("system")
def _moved(system: ProcessSystem, state: Array, extents: list[Array]) -> Array:
    """State after so much of each process; most of the matrix is empty."""
    return jnp.stack(
        [
            state[column] + _weighted_sum(system.coefficients[:, column], extents)
            for column in range(system.coefficients.shape[1])
        ]
    )


@apart("system")
def _damping(system: ProcessSystem, slopes: Slopes, step_d: Array) -> Damping:
    scaled: dict[str, Array] = {}
    columns: dict[int, Array] = {}
    for column in system.solving_order:
        own = [n for n, control in system.controls.items() if control == column]
        weights = [system.coefficients[system.processes.index(n), column] for n in own]
        total = _weighted_sum(weights, [slopes[n] for n in own])
        gamma, columns[column] = _gamma_and_damping(-step_d * at_most(total, 0.0))
        scaled |= {n: (gamma * step_d) * slopes[n] for n in own}
    return Damping(scaled, columns)


def _implicit_rates(system: ProcessSystem, right: list[Array], damping: Damping) -> list[Array]:
    """Solve ``(1 - gamma h J) k = right`` for the kept part of J, by substitution."""
    extra: dict[str, Array] = {}
    for column in system.solving_order:
        weights = system.coefficients[:, column]
        drawing = [n for n in extra if weights[system.processes.index(n)]]
        change = _pool_change(
            tuple(float(w) for w in weights if w),
            tuple(float(weights[system.processes.index(n)]) for n in drawing),
            [k for w, k in zip(weights, right, strict=True) if w],
            [extra[n] for n in drawing],
            damping.columns[column],
        )
        own = [n for n, control in system.controls.items() if control == column]
        extra |= {n: damping.slopes[n] * change for n in own}
    return [
        value + extra[name] if name in extra else value
        for name, value in zip(system.processes, right, strict=True)
    ]


@apart("weights", "further_weights")
def _pool_change(
    weights: tuple[float, ...],
    further_weights: tuple[float, ...],
    rates: list[Array],
    further: list[Array],
    damping: Array,
) -> Array:
    """Rate of one pool, damped by its own slope."""
    total = _weighted_sum((*weights, *further_weights), [*rates, *further])
    return total * damping


@apart()
def _gamma_and_damping(stiffness: Array) -> tuple[Array, Array]:
    """Gamma for a pool that relaxes over so many of its time constants in a step.

    1 - 1/sqrt(2) is the more accurate of the two L-stable values, but throws the middle
    stage 2.4 times past the equilibrium of a stiff pool, where CO2 is far from linear;
    1 + 1/sqrt(2) stays on its own side. Either way, and in between, the slopes are only
    scaled, which a W-method forgives at second order. The damping is 1/(1 + gamma h s).
    """
    square = stiffness * stiffness
    slow = 20.0 + square
    scaled = GAMMA * slow + np.sqrt(2.0) * square
    total = slow + scaled * stiffness
    inverse = 1.0 / (slow * total)  # one division for both
    return scaled * total * inverse, slow * slow * inverse


def _weighted_sum(weights: Sequence[float] | NDArray[np.float64], values: list[Array]) -> Array:
    return sum(w * v for w, v in zip(weights, values, strict=True) if w)


def _without_overdraft(system: ProcessSystem, state: Array, extents: list[Array]) -> Array:
    """Slow the consumers of a component that would otherwise end below zero.

    A loop, not one kernel for each component: that is rarely needed, but always compiled.
    """
    if not system.never_negative:
        return jnp.stack(extents)
    columns = np.array(system.never_negative, dtype=int)
    table = system.coefficients[:, columns].T
    weights = jnp.asarray(table).reshape(*table.shape, *(1,) * (state.ndim - 1))

    def slowed(i: Array, now: Array) -> Array:
        return _slowed(weights, state[columns], i, now)

    return jax.lax.fori_loop(0, len(columns), slowed, jnp.stack(extents))


@apart()
def _slowed(table: Array, present: Array, place: Array, extents: Array) -> Array:
    """Extents with the share of what is drawn from one component that is there to be drawn."""
    weights = jax.lax.dynamic_index_in_dim(table, place, keepdims=False)
    share = _share(jax.lax.dynamic_index_in_dim(present, place, keepdims=False), weights * extents)
    return jnp.where(weights * extents < 0.0, extents * share, extents)


@apart()
def _share(present: Array, moved: Array) -> Array:
    taken, left = 0.0, present
    for i in range(len(moved)):
        taken = taken - at_most(moved[i], 0.0)
        left = left + moved[i]
    return jnp.where(left < 0.0, between((left + taken) / at_least(taken, 1e-300), 0.0, 1.0), 1.0)
