"""Pick the array library that matches the numbers handed in.

The formulas of this floor are written once and run on Python floats, NumPy arrays and JAX arrays
or tracers. JAX is never imported from here: if nobody imported it, no argument can be one of its
arrays.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np

Numbers: TypeAlias = Any
"""A float, a NumPy array or a JAX array (or tracer); results come back in the same kind."""

KELVIN_OFFSET = 273.15
LN10 = 2.302585092994046


def namespace(*arguments: Numbers) -> Any:
    """Return ``jax.numpy`` if any argument is a JAX array or tracer, else ``numpy``."""
    jax = sys.modules.get("jax")
    array_type = getattr(jax, "Array", None)
    if array_type is not None and any(isinstance(value, array_type) for value in arguments):
        return sys.modules["jax.numpy"]
    return np


def repeat(
    count: int,
    step: Callable[[tuple[Numbers, ...]], tuple[Numbers, ...]],
    start: tuple[Numbers, ...],
) -> tuple[Numbers, ...]:
    """Apply `step` a fixed number of times; one compiled loop body under JAX."""
    xp = namespace(*start)
    if xp is np:
        state = start
        for _ in range(count):
            state = step(state)
        return state
    shape = xp.broadcast_shapes(*(xp.shape(value) for value in start))
    dtype = xp.result_type(*start)
    loop = sys.modules["jax"].lax.fori_loop
    begin = tuple(xp.broadcast_to(xp.asarray(value, dtype), shape) for value in start)
    result: tuple[Numbers, ...] = loop(0, count, lambda _, state: step(state), begin)
    return result
