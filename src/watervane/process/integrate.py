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

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import Array, jnp

GAMMA = 1.0 - 1.0 / np.sqrt(2.0)

Rates = Mapping[str, Array]
Slopes = Mapping[str, Array]
Evaluate = Callable[[Array], tuple[Rates, Slopes]]


@dataclass(frozen=True)
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
    rates, slopes = evaluate(state)
    first = _implicit_rates(system, [rates[p] for p in system.processes], slopes, step_d)
    middle = state + step_d * _change(system, first)
    rates_end, _ = evaluate(middle)
    right = [rates_end[p] - 2.0 * k for p, k in zip(system.processes, first, strict=True)]
    second = _implicit_rates(system, right, slopes, step_d)
    extents = [step_d * (1.5 * a + 0.5 * b) for a, b in zip(first, second, strict=True)]
    extents = _without_overdraft(system, state, extents)
    stacked = jnp.stack(extents)
    return state + jnp.tensordot(system.coefficients.T, stacked, axes=1), stacked


def _change(system: ProcessSystem, rates: list[Array]) -> Array:
    return jnp.tensordot(system.coefficients.T, jnp.stack(rates), axes=1)


def _implicit_rates(
    system: ProcessSystem, right: list[Array], slopes: Slopes, step_d: Array
) -> list[Array]:
    """Solve ``(1 - gamma h J) k = right`` for the kept part of J, by substitution."""
    rows = {name: i for i, name in enumerate(system.processes)}
    columns = system.coefficients
    change: dict[int, Array] = {}
    gamma_h: dict[int, Array] = {}
    for column in system.solving_order:
        total = _weighted_sum(columns[:, column], right)
        own: Array = 0.0
        for name, control in system.controls.items():
            weight = columns[rows[name], column]
            if weight == 0.0:
                continue
            if control == column:
                own = own + weight * slopes[name]
            elif control in change:
                total = total + gamma_h[control] * weight * slopes[name] * change[control]
        stiffness = -step_d * jnp.minimum(own, 0.0)
        gamma = _gamma(stiffness)
        gamma_h[column] = gamma * step_d
        change[column] = total / (1.0 + gamma * stiffness)
    return [
        value + gamma_h[system.controls[name]] * slopes[name] * change[system.controls[name]]
        if name in system.controls
        else value
        for name, value in zip(system.processes, right, strict=True)
    ]


def _gamma(stiffness: Array) -> Array:
    """Gamma for a pool that relaxes over so many of its time constants in a step.

    1 - 1/sqrt(2) is the more accurate of the two L-stable values, but throws the middle
    stage 2.4 times past the equilibrium of a stiff pool, where CO2 is far from linear;
    1 + 1/sqrt(2) stays on its own side. Either way, and in between, the slopes are only
    scaled, which a W-method forgives at second order.
    """
    square = stiffness * stiffness
    return GAMMA + np.sqrt(2.0) * square / (20.0 + square)


def _weighted_sum(weights: NDArray[np.float64], values: list[Array]) -> Array:
    return sum(w * v for w, v in zip(weights, values, strict=True) if w != 0.0)


def _without_overdraft(system: ProcessSystem, state: Array, extents: list[Array]) -> list[Array]:
    """Slow the consumers of a component that would otherwise end below zero."""
    for column in system.never_negative:
        weights = system.coefficients[:, column]
        drawn = [jnp.maximum(-w * e, 0.0) for w, e in zip(weights, extents, strict=True) if w]
        taken = sum(drawn)
        left = state[column] + _weighted_sum(weights, extents)
        share = jnp.where(
            left < 0.0, jnp.clip((left + taken) / jnp.maximum(taken, 1e-300), 0.0, 1.0), 1.0
        )
        extents = [
            jnp.where(w * e < 0.0, e * share, e) if w else e
            for w, e in zip(weights, extents, strict=True)
        ]
    return extents
