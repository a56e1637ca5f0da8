"""The one place that turns on 64-bit floats of JAX, and how its functions are cut apart."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import jax
import jax.numpy as jnp
import numpy as np
from jax.experimental.xla_metadata import set_xla_metadata

F = TypeVar("F", bound=Callable[..., Any])
Array = Any  # a JAX array or tracer; shapes are (..., tanks, members)

jax.config.update("jax_enable_x64", True)


def apart(*static: str) -> Callable[[F], F]:
    """Compile a function by itself instead of melting it into its callers' loops.

    XLA for CPUs computes a cheap shared value again in each loop that uses it. Along a chain
    of formulas that multiplies work and compile time a hundredfold; a call that may not be
    inlined ends the chain. NumPy arrays pass straight through.

    Parameters
    ----------
    static
        Names of arguments that are no arrays.
    """

    def decorated(function: F) -> F:
        compiled = jax.jit(function, static_argnames=static)

        @wraps(function)
        def called(*args: Any) -> Any:
            if not any(isinstance(leaf, jax.Array) for leaf in jax.tree.leaves(args)):
                return function(*args)
            return set_xla_metadata(compiled(*args), inlineable="false", xla_cpu_small_call="true")

        return cast("F", called)

    return decorated


def kernel(function: F) -> F:
    """Compile a function apart, handing it only those of its arguments that it uses.

    XLA for CPUs aborts where a kernel is handed an array that nothing in it looks at. It
    compiles several kernels at a time, so two halves take half as long as the whole.
    """

    @wraps(function)
    def called(*args: Any) -> Any:
        leaves, tree = jax.tree.flatten(args)
        traced = jax.make_jaxpr(function)(*args).jaxpr
        used = {id(v) for step in traced.eqns for v in step.invars} | set(map(id, traced.outvars))
        needed = [i for i, v in enumerate(traced.invars) if id(v) in used]

        @apart()
        def part(*some: Any) -> Any:
            given = list(leaves)
            for i, leaf in zip(needed, some, strict=True):
                given[i] = leaf
            return function(*jax.tree.unflatten(tree, given))

        return part(*(leaves[i] for i in needed))

    return cast("F", called)


def namespace(*arguments: Array) -> Any:
    """``jax.numpy`` if any argument is a JAX array or tracer, else ``numpy``.

    NumPy's numbers would be computed by ``jax.numpy`` as well, but each operation on each
    shape would be compiled first.
    """
    return jnp if any(isinstance(each, jax.Array) for each in arguments) else np


def at_least(value: Array, low: Array) -> Array:
    """Return the larger of two; a missing number stays one.

    One machine instruction, where ``jnp.maximum`` spends seven on the order of zeros and
    on missing numbers from either side.
    """
    return namespace(value, low).where(value < low, low, value)


def at_most(value: Array, high: Array) -> Array:
    """Return the smaller of two; a missing number stays one."""
    return namespace(value, high).where(value > high, high, value)


def between(value: Array, low: Array, high: Array) -> Array:
    """Return a value held between two bounds; a missing number stays one."""
    return at_most(at_least(value, low), high)


def cache_folder() -> Path:
    """Folder of compiled programs; ``WATERVANE_CACHE`` overrides it."""
    told = os.environ.get("WATERVANE_CACHE")
    if told:
        return Path(told)
    base = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(base) / "watervane"


__all__ = [
    "Array",
    "apart",
    "at_least",
    "at_most",
    "between",
    "cache_folder",
    "jax",
    "jnp",
    "kernel",
    "namespace",
]
