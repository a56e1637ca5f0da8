"""Chains of blackjax' NUTS on a density that is computed outside of JAX."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import blackjax
import jax
import jax.numpy as jnp
import numpy as np
from blackjax.adaptation.step_size import dual_averaging_adaptation

from watervane.inference.target import Floats
from watervane.process import arrays  # noqa: F401 - turns on 64-bit floats

# The density runs JAX itself, from a callback: dispatched to the threads that wait for that
# callback, it would never end.
jax.config.update("jax_cpu_enable_async_dispatch", False)

Density = Callable[[Floats], tuple[Floats, Floats]]
# Of steps along a path. Where a posterior is bent, steps fit for the usual 0.8 (hoffman2014, from
# memory) do not get into its narrow ends, and the draws are wrong though chains agree.
WANTED_ACCEPTANCE = 0.9
FIRST_STEP = 0.2
MOST_DOUBLINGS = 8


@dataclass(frozen=True)
class Chains:
    """What chains left behind.

    Parameters
    ----------
    z
        Draws, shape (draws, chains, unknowns).
    leapfrogs
        Steps of all chains after the warm-up.
    divergent
        Transitions whose energy got lost, after the warm-up.
    longest
        Transitions that were cut at the longest path.
    acceptance
        Mean over paths.
    step
        Found in the warm-up, in spreads.
    """

    z: Floats
    leapfrogs: int
    divergent: int
    longest: int
    acceptance: float
    step: float


def run_chains(
    density: Density,
    middle: Floats,
    factor: Floats,
    start: Floats,
    *,
    warm: int,
    draws: int,
    seed: int,
    wanted: float = WANTED_ACCEPTANCE,
    tuned_on: Density | None = None,
    progress: Callable[[int], None] | None = None,
) -> Chains:
    """Run chains side by side; the length of their steps is found in the warm-up.

    Parameters
    ----------
    density
        Of points, shape (unknowns, points): the log density and its slope.
    middle, factor
        A point is ``middle + factor @ u``; chains move ``u`` with unit masses. Any regular
        factor is right; a good one makes the density round.
    start
        First points, shape (unknowns, chains).
    warm, draws
        Transitions of each chain, those of the warm-up dropped.
    seed
        Of all chance.
    wanted
        Mean chance of acceptance along a path, by which the length of steps is found.
    tuned_on
        A smooth density like this one, on which it is found where this one jumps, or where the
        slope is not quite its own: no step is short enough there. Chains warm up on it first.
    progress
        Called with the number of each transition.
    """
    key, first_key = jax.random.split(jax.random.key(seed))
    first = jnp.asarray(np.linalg.solve(factor, start - middle[:, None]).T)
    tuning = _kernel(tuned_on or density, middle, factor)
    position, step = _tuned(tuning, first, warm, first_key, wanted)
    once, begin = tuning if tuned_on is None else _kernel(density, middle, factor)
    state = begin(position)
    kept, leapfrogs, divergent, longest, accepted = [], 0, 0, 0, 0.0
    before = 0 if tuned_on is None else warm
    for number, each in enumerate(jax.random.split(key, before + draws)):
        state, info = once(jax.random.split(each, len(first)), state, step)
        if number >= before:
            kept.append(np.asarray(state.position) @ factor.T + middle)
            leapfrogs += int(info.num_integration_steps.sum())
            divergent += int(info.is_divergent.sum())
            longest += int((info.num_trajectory_expansions >= MOST_DOUBLINGS).sum())
            accepted += float(jnp.mean(info.acceptance_rate)) / draws
        if progress is not None:
            progress(number)
    return Chains(np.stack(kept), leapfrogs, divergent, longest, accepted, step)


def _tuned(kernel: Any, first: Any, warm: int, key: Any, wanted: float) -> tuple[Any, float]:
    """Where chains are after the warm-up, and how long their steps should be."""
    once, begin = kernel
    state = begin(first)
    tune, learn, tuned = dual_averaging_adaptation(wanted)
    stride = tune(FIRST_STEP)
    for each in jax.random.split(key, warm):
        step = jnp.exp(stride.log_step_size)
        state, info = once(jax.random.split(each, len(first)), state, step)
        stride = learn(stride, jnp.mean(info.acceptance_rate))
    return state.position, float(tuned(stride))


def _kernel(density: Density, middle: Floats, factor: Floats) -> tuple[Any, Any]:
    """One transition of all chains, and their first state, compiled."""
    shape = (
        jax.ShapeDtypeStruct((), np.float64),
        jax.ShapeDtypeStruct((len(middle),), np.float64),
    )

    def outside(u: Floats) -> tuple[Floats, Floats]:
        points = np.atleast_2d(np.asarray(u))
        value, slope = density(middle[:, None] + factor @ points.T)
        return value.reshape(u.shape[:-1]), (slope.T @ factor).reshape(u.shape)

    def both(u: Any) -> Any:
        return jax.pure_callback(outside, shape, u, vmap_method="broadcast_all")

    @jax.custom_vjp
    def log_density(u: Any) -> Any:
        return both(u)[0]

    log_density.defvjp(both, lambda slope, weight: (weight * slope,))
    kernel = blackjax.nuts.build_kernel()
    masses = jnp.ones(len(middle))

    def once(key: Any, state: Any, step: Any) -> Any:
        return kernel(key, state, log_density, step, masses, max_num_doublings=MOST_DOUBLINGS)

    def begin(u: Any) -> Any:
        return blackjax.nuts.init(u, log_density)

    return jax.jit(jax.vmap(once, in_axes=(0, 0, None))), jax.jit(jax.vmap(begin))
