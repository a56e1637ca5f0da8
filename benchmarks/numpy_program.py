"""A traced JAX program written out as plain NumPy, statement by statement.

The traced program is the scheme itself, so what NumPy then runs is the same scheme. It is given
what a careful author would do by hand: calls are opened up, what is never used is left out, the
same expression is computed once, what rests on fixed inputs alone is computed beforehand, and
arrays are dropped after their last use.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import special

from benchmarks.numpy_primitives import UnknownPrimitiveError, expression, is_name, number

# Calls that only group equations, and the parameter that holds them.
CALLS = {"jit": "jaxpr", "pjit": "jaxpr", "closed_call": "call_jaxpr", "core_call": "call_jaxpr",
         "remat": "jaxpr", "custom_jvp_call": "call_jaxpr"}  # fmt: skip
Program = Callable[..., tuple[Any, ...]]


@dataclass(frozen=True)
class _Line:
    names: tuple[str, ...]
    text: str
    uses: frozenset[str]


class _Writing:
    """Lines of one function; functions of branches share constants and names."""

    def __init__(self, above: _Writing | None = None) -> None:
        self.constants: dict[str, Any] = above.constants if above else {}
        self.branches: list[str] = above.branches if above else []
        self.counter: list[int] = above.counter if above else [0]
        self.lines: list[_Line] = []
        self._known: dict[str, str] = {}
        self._cut: dict[str, tuple[str, int]] = {}
        self._compared: dict[str, tuple[str, str, str]] = {}
        self._spread: dict[str, str] = {}

    def fresh(self, letter: str) -> str:
        self.counter[0] += 1
        return f"{letter}{self.counter[0]}"

    def inlined(self, jaxpr: Any, constants: Sequence[Any], operands: Sequence[str]) -> list[str]:
        """Write a program's equations here; returns the names of its results."""
        names = dict(zip(jaxpr.invars, operands, strict=True))
        names |= {v: self._constant(c) for v, c in zip(jaxpr.constvars, constants, strict=True)}
        for equation in jaxpr.eqns:
            told = [self._operand(v, names) for v in equation.invars]
            kind = equation.primitive.name
            if kind in CALLS:
                inner = equation.params[CALLS[kind]]
                consts = getattr(inner, "consts", ())
                results = self.inlined(getattr(inner, "jaxpr", inner), consts, told)
            elif kind == "cond":
                results = self._either(equation, told)
            elif kind == "scan":
                results = self._repeated(equation, told)
            elif kind == "optimization_barrier":
                results = told
            else:
                results = [self._stated(equation, told)]
            names |= dict(zip(equation.outvars, results, strict=True))
        return [self._operand(v, names) for v in jaxpr.outvars]

    def _constant(self, value: Any) -> str:
        told = np.asarray(value)
        if told.ndim == 0 and np.isfinite(told):
            return number(told.item())
        name = self.fresh("k")
        self.constants[name] = told
        return name

    def _operand(self, variable: Any, names: dict[Any, str]) -> str:
        return self._constant(variable.val) if hasattr(variable, "val") else names[variable]

    def _stated(self, equation: Any, operands: list[str]) -> str:
        kind, text = equation.primitive.name, expression(equation, operands)
        uses = frozenset(o for o in operands if is_name(o))
        if kind == "squeeze" and equation.params["dimensions"] == (0,) and operands[0] in self._cut:
            whole, place = self._cut[operands[0]]  # one row of a table is taken at once
            text, uses = f"{whole}[{place}]", frozenset({whole})
        if kind == "select_n":
            text, uses = self._larger_or_smaller(equation, operands) or (text, uses)
        if kind == "convert_element_type" and not uses:
            return text
        if is_name(text) or text in self._known:
            return self._known.get(text, text)
        name = self._known[text] = self.fresh("v")
        if kind == "slice" and _one_row(equation):
            self._cut[name] = (operands[0], equation.params["start_indices"][0])
        if kind in ("lt", "gt"):
            self._compared[name] = (kind, operands[0], operands[1])
        if kind == "broadcast_in_dim" and equation.invars[0].aval.shape == ():
            self._spread[name] = operands[0]
        self.lines.append(_Line((name,), text, uses))
        return name

    def _larger_or_smaller(
        self, equation: Any, operands: list[str]
    ) -> tuple[str, frozenset[str]] | None:
        """Take one statement where the program compares and then chooses."""
        which, otherwise, chosen = operands
        kind, left, right = self._compared.get(which, ("", "", ""))
        bound = self._spread.get(chosen, chosen)
        shapes = [tuple(v.aval.shape) for v in (equation.invars[1], equation.outvars[0])]
        if (left, right) != (otherwise, bound) or shapes[0] != shapes[1]:
            return None
        word = {"lt": "maximum", "gt": "minimum"}[kind]
        return f"np.{word}({left}, {right})", frozenset(x for x in (left, right) if is_name(x))

    def _either(self, equation: Any, operands: list[str]) -> list[str]:
        which, *told = operands
        functions = [self._branch(each) for each in equation.params["branches"]]
        names = tuple(self.fresh("v") for _ in equation.outvars)
        last = len(functions) - 1
        taken = "[0]" if len(names) == 1 else ""
        text = (
            f"({', '.join(functions)})[min(max(int({which}), 0), {last})]({', '.join(told)}){taken}"
        )
        self.lines.append(_Line(names, text, frozenset(o for o in operands if is_name(o))))
        return list(names)

    def _repeated(self, equation: Any, operands: list[str]) -> list[str]:
        """Write a loop of so many rounds, known beforehand, round after round."""
        told = equation.params
        constant = operands[: told["num_consts"]]
        carried = operands[told["num_consts"] :]
        if len(carried) != told["num_carry"] or len(equation.outvars) != told["num_carry"]:
            raise UnknownPrimitiveError("primitive 'scan' is known for loops over nothing only")
        body = told["jaxpr"]
        for _ in range(told["length"]):
            carried = self.inlined(body.jaxpr, body.consts, [*constant, *carried])
        return carried

    def _branch(self, closed: Any) -> str:
        inner, name = _Writing(self), self.fresh("branch")
        inputs = [self.fresh("a") for _ in closed.jaxpr.invars]
        results = inner.inlined(closed.jaxpr, closed.consts, inputs)
        lines = _wanted(inner.lines, set(results))
        body = [*_with_drops(lines, set(results)), f"return ({', '.join(results)},)"]
        self.branches.append(_function(name, inputs, body))
        return name


def _one_row(equation: Any) -> bool:
    start, stop = equation.params["start_indices"], equation.params["limit_indices"]
    shape = tuple(equation.invars[0].aval.shape)
    strides = equation.params["strides"]
    whole_rest = tuple(start[1:]) == (0,) * (len(shape) - 1) and tuple(stop[1:]) == shape[1:]
    return (strides is None or set(strides) == {1}) and stop[0] - start[0] == 1 and whole_rest


def _wanted(lines: list[_Line], wanted: set[str]) -> list[_Line]:
    """Lines that a result rests on."""
    kept = []
    needed = set(wanted)
    for line in reversed(lines):
        if needed & set(line.names):
            needed |= line.uses
            kept.append(line)
    return kept[::-1]


def _with_drops(lines: list[_Line], results: set[str]) -> list[str]:
    """Lines as text, each array dropped after the last line that uses it."""
    last = {name: k for k, line in enumerate(lines) for name in line.uses}
    own = {name for line in lines for name in line.names} - results
    text = []
    for k, line in enumerate(lines):
        text.append(_assigned(line))
        if done := sorted(name for name in line.uses & own if last[name] == k):
            text.append(f"del {', '.join(done)}")
    return text


def _assigned(line: _Line) -> str:
    return f"{', '.join(line.names)} = {line.text}"


def _function(name: str, inputs: Sequence[str], body: Sequence[str]) -> str:
    return "\n".join([f"def {name}({', '.join(inputs)}):", *(f"    {line}" for line in body)])


def numpy_source(traced: Any, fixed: Sequence[bool]) -> tuple[str, dict[str, Any]]:
    """Write a closed jaxpr as the text of a NumPy function, and its constants.

    The text defines ``prepared``, which takes the fixed inputs and returns the function of all
    others.
    """
    writing = _Writing()
    inputs = [writing.fresh("a") for _ in traced.jaxpr.invars]
    results = writing.inlined(traced.jaxpr, traced.consts, inputs)
    varying = {name for name, still in zip(inputs, fixed, strict=True) if not still}
    before, during = [], []
    for line in _wanted(writing.lines, set(results)):
        if line.uses & varying:
            varying |= set(line.names)
            during.append(line)
        else:
            before.append(line)
    moving = [name for name in inputs if name in varying]
    body = [*_with_drops(during, set(results)), f"return ({', '.join(results)},)"]
    inner = _function("program", moving, body).split("\n")
    ready = [_assigned(line) for line in before]
    still = [name for name in inputs if name not in varying]
    outer = _function("prepared", still, [*ready, *inner, "return program"])
    return "\n\n".join([*writing.branches, outer, ""]), writing.constants


def numpy_program(traced: Any, fixed: Sequence[bool]) -> Callable[..., Program]:
    """Make NumPy of a closed jaxpr, in two steps: fixed inputs first, then all others.

    Parameters
    ----------
    traced
        From `jax.make_jaxpr`.
    fixed
        For each flat input, whether it stays the same from call to call.

    Raises
    ------
    UnknownPrimitiveError
        Naming what has no counterpart.
    """
    text, constants = numpy_source(traced, fixed)
    space: dict[str, Any] = {"np": np, "special": special, **constants}
    exec(compile(text, "<numpy program>", "exec"), space)  # noqa: S102  (our own text)
    prepared: Callable[..., Program] = space["prepared"]
    return prepared
