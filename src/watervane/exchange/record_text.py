"""Any record of answers as JSON text and back, figure for figure, by the types of its fields.

What the program tells others is written field by field in documents of their own. This is for
its own use: one process works something out, another puts it into words.
"""

from __future__ import annotations

import dataclasses
import json
import types
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from watervane.exchange.problems import TankFileErrors
from watervane.records import Finding

Record = TypeVar("Record")
_AS_IT_IS = (str, int, float, bool, object, Any)


def record_text(record: object) -> str:
    """A record as JSON."""
    return json.dumps(_plain(record), allow_nan=False, separators=(",", ":"))


def record_of_text(kind: type[Record], text: str) -> Record:
    """A record of a kind from the JSON that `record_text` made of one.

    Raises
    ------
    TankFileErrors
        If it is no such record.
    """
    try:
        found: Record = _read(kind, json.loads(text))
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        what = f"{error.args[0]} is missing" if isinstance(error, KeyError) else str(error)
        told = {"file": kind.__name__, "why": what}
        raise TankFileErrors([Finding("stored-unreadable", "problem", told)]) from None
    return found


def _plain(value: object) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: _plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    if value is None or isinstance(value, str | bool | int | float):
        return value
    return str(value)  # arguments of findings, which are only put into sentences


@cache
def _hints(kind: type) -> Mapping[str, Any]:
    return get_type_hints(kind)


def _read(kind: Any, told: Any) -> Any:
    origin, inner = get_origin(kind), get_args(kind)
    if origin is not None:
        return _read_several(origin, inner, told)
    if kind is datetime or kind is date:
        return kind.fromisoformat(told)
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        hints, names = _hints(kind), {each.name for each in dataclasses.fields(kind)}
        if not isinstance(told, Mapping):
            raise TypeError(f"{kind.__name__} is not {told!r}")
        return kind(**{key: _read(hints[key], each) for key, each in told.items() if key in names})
    if kind is float and not isinstance(told, bool):
        return float(told)
    if kind not in _AS_IT_IS or (kind in (str, int, bool) and not isinstance(told, kind)):
        raise TypeError(f"{told!r} is no {kind}")
    return told


def _read_several(origin: Any, inner: tuple[Any, ...], told: Any) -> Any:
    """What may be left out, and what holds several of a kind."""
    if origin in (Union, types.UnionType):
        if told is None and type(None) in inner:
            return None
        return _read(next(each for each in inner if each is not type(None)), told)
    if issubclass(origin, Mapping):
        return {key: _read(inner[1], each) for key, each in told.items()}
    if origin is tuple and inner[-1] is not Ellipsis:
        return tuple(_read(one, each) for one, each in zip(inner, told, strict=True))
    return tuple(_read(inner[0], each) for each in told)
