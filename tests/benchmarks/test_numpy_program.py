"""What is traced and written out as NumPy computes the same, or is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from benchmarks.numpy_cost import AGREEMENT, NumpyLanes, final_compiled, largest_difference
from benchmarks.numpy_primitives import UnknownPrimitiveError
from benchmarks.numpy_program import numpy_program, numpy_source
from benchmarks.workload import lanes
from scipy import special

from watervane.process.arrays import jax, jnp
from watervane.process.day_grid import ACCURACIES

X = np.linspace(-2.0, 3.0, 12).reshape(3, 4)
Y = np.cos(X) + 1.5


@pytest.mark.parametrize(
    "function",
    [
        lambda x, y: jnp.where(x > y, jnp.exp(x), jnp.log(y)) - x / y,
        lambda x, y: jnp.clip(x, -1.0, y) ** 2 + x**-3 + x**7,
        lambda x, y: jnp.stack([x[0], y[2], x[0] * 2.0], axis=1),
        lambda x, y: jnp.concatenate([x, y], axis=1).sum(axis=0),
        lambda x, y: x[:, 1:3] @ y[:2, :] + jnp.maximum(x, y).max(axis=0),
        lambda x, y: jax.lax.erf(x) + jax.nn.sigmoid(y) + jnp.sqrt(y),
        lambda x, y: jnp.broadcast_to(x[:, None, 0], (3, 4)) * (x < y),
        lambda x, y: jax.jit(lambda a: a * 2.0 + 1.0)(x) + jnp.transpose(y).reshape(3, 4),
        lambda x, y: jnp.full((3, 4), jnp.inf).at[...].get() * y,
        lambda x, y: x[jnp.array([2, 0, -1])] * jnp.where(y > 0.2, -1.0, y),
        lambda x, y: jnp.logical_and(x > 0.0, ~(y > 1.0)).astype(float) + jnp.any(x > 2.0),
    ],
)
def test_results_are_those_of_the_compiled_program(function: Callable[..., Any]) -> None:
    (found,) = numpy_program(jax.make_jaxpr(function)(X, Y), [True, False])(X)(Y)
    np.testing.assert_allclose(found, jax.jit(function)(X, Y), rtol=1e-13, atol=1e-14)


def test_a_loop_of_known_length_picks_its_row_in_each_round() -> None:
    def looped(x: Any, y: Any) -> Any:
        def body(i: Any, a: Any) -> Any:
            return a * 1.5 + jax.lax.dynamic_index_in_dim(x, i, keepdims=False)

        return jax.lax.fori_loop(0, 3, body, y)

    (found,) = numpy_program(jax.make_jaxpr(looped)(X, Y), [False, False])()(X, Y)
    np.testing.assert_allclose(found, looped(X, Y), rtol=1e-14)


@pytest.mark.parametrize("limit", [-10.0, 10.0])
def test_only_the_branch_that_holds_is_taken(limit: float) -> None:
    def chosen(x: Any, y: Any) -> Any:
        return jax.lax.cond(x.sum() > limit, lambda: (x + y, x), lambda: (x * y, y))

    found = numpy_program(jax.make_jaxpr(chosen)(X, Y), [False, False])()(X, Y)
    for a, b in zip(found, chosen(X, Y), strict=True):
        np.testing.assert_allclose(a, b, rtol=1e-14)


def test_what_rests_on_fixed_inputs_is_done_beforehand_and_what_is_unused_never() -> None:
    def function(x: Any, y: Any) -> Any:
        jnp.tan(y)
        return jnp.exp(x) + y * jnp.exp(x) + jnp.exp(x)

    text, _ = numpy_source(jax.make_jaxpr(function)(X, Y), [True, False])
    before, during = text.split("def program")
    assert (before.count("np.exp"), during.count("np.exp")) == (1, 0)
    assert "np.tan" not in text


@pytest.mark.parametrize(
    ("function", "name"),
    [
        (jnp.sort, "sort"),
        (lambda x: jax.lax.scan(lambda c, row: (c + row, row), x[0], x)[0], "scan"),
        (lambda x: jax.lax.while_loop(lambda a: a.sum() < 9.0, lambda a: a + 1.0, x), "while"),
        (lambda x: jnp.arange(3) * 2 + x[0, 0], "iota"),
        (lambda x: x[jnp.array([0, 1]), jnp.array([2, 3])], "gather"),
    ],
)
def test_an_unknown_primitive_is_named_not_guessed(function: Callable[..., Any], name: str) -> None:
    with pytest.raises(UnknownPrimitiveError, match=f"'{name}'"):
        numpy_program(jax.make_jaxpr(function)(X), [False])


def test_whole_numbers_are_refused_where_they_would_round_otherwise() -> None:
    whole = np.arange(4)
    with pytest.raises(UnknownPrimitiveError, match="'div'"):
        numpy_program(jax.make_jaxpr(lambda n: jax.lax.div(n, 2))(whole), [False])


def test_special_functions_are_the_ones_meant() -> None:
    (found,) = numpy_program(jax.make_jaxpr(jax.lax.erf)(X), [False])()(X)
    np.testing.assert_allclose(found, special.erf(X), rtol=1e-14)


@pytest.mark.parametrize("accuracy", ACCURACIES)
def test_the_model_in_numpy_is_the_program_that_ships(accuracy: str) -> None:
    some = lanes(6, 9)  # the first water change is on the eighth day
    found, exact = NumpyLanes(some).final(9, accuracy), final_compiled(some, 9, accuracy)
    assert largest_difference(found, exact) <= AGREEMENT
    shifted = exact._replace(ph=exact.ph * (1.0 + 1e-8))
    assert largest_difference(found, shifted) > AGREEMENT


def test_comparing_and_choosing_becomes_one_statement() -> None:
    def held(x: Any, y: Any) -> Any:
        low = jnp.where(x < 0.5, 0.5, x)
        return jnp.where(low > y, y, low) + jnp.where(x < y, x, y)

    traced = jax.make_jaxpr(held)(X, Y)
    text, _ = numpy_source(traced, [False, False])
    assert (text.count("np.maximum"), text.count("np.minimum"), text.count("np.where")) == (1, 1, 1)
    (found,) = numpy_program(traced, [False, False])()(X, Y)
    np.testing.assert_array_equal(found, held(X, Y))
