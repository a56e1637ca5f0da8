"""Mark a function with the publication it comes from, as data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypeVar

Bounds = tuple[float, float]
_Function = TypeVar("_Function", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Citation:
    """A place in a source: ``key`` into the sources table, ``where`` in it."""

    key: str
    where: str = ""


@dataclass(frozen=True, slots=True)
class SourcedFunction:
    """A registered function with its citations and validity range."""

    name: str
    citations: tuple[Citation, ...]
    valid: Mapping[str, Bounds]
    function: Callable[..., Any]


_REGISTRY: dict[str, SourcedFunction] = {}


def sourced(
    key: str, where: str = "", valid: Mapping[str, Bounds] | None = None
) -> Callable[[_Function], _Function]:
    """Attach a source and a validity range to a function, and nothing else.

    The function itself is returned, so it costs nothing to call. Stacked marks add
    up: citations are listed from the top mark down, ranges of one name narrow.

    Parameters
    ----------
    key : str
        Key in ``sources.toml``.
    where : str
        Place in the source, such as ``"eq. 4"``.
    valid : mapping of parameter name to (lowest, highest), optional
        Range the publication covers, in the unit the parameter name carries.

    Returns
    -------
    callable
        Decorator; the function gains ``.sources`` (tuple of `Citation`) and ``.valid``.
    """

    def mark(function: _Function) -> _Function:
        citations = (Citation(key, where), *getattr(function, "sources", ()))
        merged: dict[str, Bounds] = dict(getattr(function, "valid", {}))
        for parameter, (low, high) in (valid or {}).items():
            known_low, known_high = merged.get(parameter, (low, high))
            merged[parameter] = (max(low, known_low), min(high, known_high))
        ranges = MappingProxyType(merged)
        setattr(function, "sources", citations)  # noqa: B010 - functions declare no such field
        setattr(function, "valid", ranges)  # noqa: B010
        name = f"{function.__module__}.{getattr(function, '__qualname__', repr(function))}"
        _REGISTRY[name] = SourcedFunction(name, citations, ranges, function)
        return function

    return mark


def sourced_functions() -> Mapping[str, SourcedFunction]:
    """Every function marked so far, by dotted name."""
    return MappingProxyType(_REGISTRY)
