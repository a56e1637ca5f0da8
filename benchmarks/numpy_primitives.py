"""How NumPy writes each primitive of a traced JAX program: one expression each, or a refusal."""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

Texts = Sequence[str]
Writer = Callable[[Texts, Any], str]


class UnknownPrimitiveError(ValueError):
    """The program holds something that has no counterpart here; the message names it."""


def is_name(text: str) -> bool:
    """Whether an operand is a variable, not a number written out."""
    return text.isidentifier() and text not in {"True", "False"}


def number(value: Any) -> str:
    """Write a number so that it may stand anywhere in an expression."""
    text = repr(value)
    return f"({text})" if text.startswith("-") else text


def expression(equation: Any, operands: Texts) -> str:
    """Write one equation of a jaxpr as a NumPy expression.

    Raises
    ------
    UnknownPrimitiveError
        For primitives, and for kinds of numbers, that are not known to mean the same in NumPy.
    """
    name = equation.primitive.name
    writer = _WRITERS.get(name)
    if writer is None:
        raise UnknownPrimitiveError(
            f"primitive '{name}' has no NumPy counterpart; add it to {__name__}"
        )
    kinds = {v.aval.dtype.kind for v in equation.invars}
    if name in _FLOATS_ONLY and not kinds <= {"f"}:
        raise UnknownPrimitiveError(f"primitive '{name}' is known for floats, not for {kinds}")
    return writer(operands, equation)


def _form(template: str) -> Writer:
    return lambda texts, _: template.format(*texts)


def _convert(texts: Texts, equation: Any) -> str:
    dtype = np.dtype(equation.params["new_dtype"])
    if not is_name(texts[0]):
        return number(dtype.type(ast.literal_eval(texts[0])).item())
    if equation.invars[0].aval.dtype == dtype:
        return texts[0]
    return f"np.asarray({texts[0]}).astype(np.{dtype.name})"


def _broadcast(texts: Texts, equation: Any) -> str:
    shape, kept = equation.params["shape"], equation.params["broadcast_dimensions"]
    own = equation.invars[0].aval.shape
    if own == shape:
        return texts[0]
    spread = tuple(own[kept.index(i)] if i in kept else 1 for i in range(len(shape)))
    return f"np.broadcast_to(np.reshape({texts[0]}, {spread}), {shape})"


def _slice(texts: Texts, equation: Any) -> str:
    p = equation.params
    strides = p["strides"] or (1,) * len(p["start_indices"])
    size = equation.invars[0].aval.shape
    cuts = [
        ":" if (a, b, s) == (0, n, 1) else f"{a}:{b}:{s}"
        for a, b, s, n in zip(p["start_indices"], p["limit_indices"], strides, size, strict=True)
    ]
    while len(cuts) > 1 and cuts[-1] == ":":
        cuts.pop()
    return f"{texts[0]}[{', '.join(cuts)}]"


def _select(texts: Texts, equation: Any) -> str:
    if equation.invars[0].aval.dtype != np.bool_ or len(texts) != 3:
        raise UnknownPrimitiveError("primitive 'select_n' is known for two cases only")
    return f"np.where({texts[0]}, {texts[2]}, {texts[1]})"


def _power(texts: Texts, equation: Any) -> str:
    exponent = equation.params["y"]
    x = texts[0]
    if exponent < 0:
        return f"(1.0 / {_product(x, -exponent)})"
    return _product(x, exponent)


def _product(x: str, times: int) -> str:
    return f"({' * '.join([x] * times)})" if 0 < times <= 4 else f"({x} ** {times})"


def _dot(texts: Texts, equation: Any) -> str:
    summed, batch = equation.params["dimension_numbers"]
    if batch != ((), ()):
        raise UnknownPrimitiveError("primitive 'dot_general' is known without batches only")
    return f"np.tensordot({texts[0]}, {texts[1]}, axes={tuple(map(tuple, summed))})"


def _rows(texts: Texts, equation: Any) -> str:
    """Whole rows along the first axis; an index past the end is an error here, not a fill."""
    p, (table, places) = equation.params, equation.invars
    told, rest = p["dimension_numbers"], tuple(table.aval.shape[1:])
    plain = (
        tuple(told.collapsed_slice_dims) == tuple(told.start_index_map) == (0,)
        and tuple(told.offset_dims) == tuple(range(1, 1 + len(rest)))
        and not told.operand_batching_dims
        and tuple(p["slice_sizes"]) == (1, *rest)
        and len(places.aval.shape) == 2
    )
    if not plain:
        raise UnknownPrimitiveError("primitive 'gather' is known for whole rows only")
    return f"{texts[0]}[np.reshape({texts[1]}, -1)]"


def _window(texts: Texts, equation: Any) -> str:
    """Cut along the first axis at a place known only when run, which must lie inside."""
    sizes, whole = equation.params["slice_sizes"], equation.invars[0].aval.shape
    if tuple(sizes[1:]) != tuple(whole[1:]):
        raise UnknownPrimitiveError("primitive 'dynamic_slice' is known for whole rows only")
    return f"{texts[0]}[int({texts[1]}):int({texts[1]}) + {sizes[0]}]"


def _result_shape(equation: Any) -> str:
    return str(tuple(equation.outvars[0].aval.shape))


_WRITERS: Mapping[str, Writer] = {
    **{
        name: _form(f"({{0}} {sign} {{1}})")
        for name, sign in {
            "add": "+", "sub": "-", "mul": "*", "div": "/", "pow": "**", "add_any": "+",
            "lt": "<", "le": "<=", "gt": ">", "ge": ">=", "eq": "==", "ne": "!=",
            "and": "&", "or": "|", "xor": "^",
        }.items()
    },
    **{
        name: _form(f"np.{name}({{0}})")
        for name in (
            "exp", "exp2", "log", "log1p", "expm1", "sqrt", "abs", "sin", "cos", "tan", "tanh",
            "floor", "ceil", "sign", "square", "cbrt", "sinh", "cosh",
        )
    },
    "neg": _form("(-{0})"),
    "not": _form("np.logical_not({0})"),
    "max": _form("np.maximum({0}, {1})"),
    "min": _form("np.minimum({0}, {1})"),
    "rsqrt": _form("(1.0 / np.sqrt({0}))"),
    "clamp": _form("np.minimum(np.maximum({1}, {0}), {2})"),
    "erf": _form("special.erf({0})"),
    "logistic": _form("special.expit({0})"),
    "is_finite": _form("np.isfinite({0})"),
    "integer_pow": _power,
    "select_n": _select,
    "convert_element_type": _convert,
    "broadcast_in_dim": _broadcast,
    "slice": _slice,
    "dynamic_slice": _window,
    "dot_general": _dot,
    "gather": _rows,
    "squeeze": lambda t, e: f"np.reshape({t[0]}, {_result_shape(e)})",
    "reshape": lambda t, e: f"np.reshape({t[0]}, {_result_shape(e)})",
    "expand_dims": lambda t, e: f"np.reshape({t[0]}, {_result_shape(e)})",
    "transpose": lambda t, e: f"np.transpose({t[0]}, {e.params['permutation']})",
    "stack": lambda t, e: f"np.stack([{', '.join(t)}], axis={e.params['axis']})",
    "concatenate": lambda t, e: f"np.concatenate([{', '.join(t)}], axis={e.params['dimension']})",
    "reduce_sum": lambda t, e: f"np.sum({t[0]}, axis={tuple(e.params['axes'])})",
    "reduce_max": lambda t, e: f"np.max({t[0]}, axis={tuple(e.params['axes'])})",
    "reduce_min": lambda t, e: f"np.min({t[0]}, axis={tuple(e.params['axes'])})",
    "reduce_or": lambda t, e: f"np.any({t[0]}, axis={tuple(e.params['axes'])})",
    "reduce_and": lambda t, e: f"np.all({t[0]}, axis={tuple(e.params['axes'])})",
    # These say how to compile, not what to compute.
    "copy": _form("{0}"),
    "copy_p": _form("{0}"),
    "stop_gradient": _form("{0}"),
    "xla_metadata_value": _form("{0}"),
}  # fmt: skip
# On whole numbers the rounding or the kind would differ.
_FLOATS_ONLY = {"div", "pow", "integer_pow", "sign"}
