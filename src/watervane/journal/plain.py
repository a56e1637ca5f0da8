"""Records as plain JSON and back, by the types their fields are declared with.

A field that is empty and empty by default is left out; a record that gains a field with a default
still reads what was kept before it had one. Of a union of records each says which it is.
"""

from __future__ import annotations

import dataclasses
import json
import types
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from watervane import records

Decoder = Callable[[Any], Any]

NAMES: dict[str, type] = {
    "feed": records.Feed,
    "animals-in": records.AnimalsIn,
    "animals-out": records.AnimalsOut,
    "died": records.Died,
    "water-change": records.WaterChange,
    "top-off": records.TopOff,
    "dose": records.Dose,
    "seed": records.Seed,
    "media-moved": records.MediaMoved,
    "clean": records.Clean,
    "outage": records.Outage,
    "treatment": records.Treatment,
    "equipment": records.EquipmentChange,
    "note": records.Note,
}
NAME_OF = {kind: name for name, kind in NAMES.items()}
APART = ("at", "hour_known", "line")  # kept in columns; the line of a file has no meaning later
WHICH = "is"  # the key under which one record of a union says its name


def dumped(value: object, leave_out: tuple[str, ...] = APART) -> str:
    """A record as JSON text, without the fields named in ``leave_out``."""
    plain = _plain(value, leave_out)
    return json.dumps(plain, allow_nan=False, ensure_ascii=False, separators=(",", ":"))


def loaded(text: str, kind: Any, kept_apart: Mapping[str, object]) -> Any:
    """A record of ``kind`` from JSON text, with the fields that are kept elsewhere.

    They are put into the record itself, or into its template where it has one.
    """
    plain = json.loads(text)
    inner = plain.get("template", plain)
    inner |= {name: _Apart(value) for name, value in kept_apart.items()}
    return decoder(kind)(plain)


@dataclasses.dataclass(frozen=True, slots=True)
class _Apart:
    """A field's value that needs no decoding."""

    value: object


def _plain(value: Any, leave_out: tuple[str, ...]) -> Any:
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(name): _plain(each, leave_out) for name, each in value.items()}
    if isinstance(value, tuple):
        return [_plain(each, leave_out) for each in value]
    found: dict[str, Any] = {}
    if type(value) in NAME_OF:
        found[WHICH] = NAME_OF[type(value)]
    for field in dataclasses.fields(value):
        told = getattr(value, field.name)
        if field.name not in leave_out and not (told in (None, "") and told == field.default):
            found[field.name] = _plain(told, leave_out)
    return found


@cache
def decoder(kind: Any) -> Decoder:
    """What makes a value of ``kind`` from plain JSON."""
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        return _record_decoder(kind)
    if kind is float:
        return float
    if kind is date:
        return date.fromisoformat
    origin, arguments = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return _union_decoder(arguments)
    if origin is tuple:
        each = decoder(arguments[0])
        return lambda plain: tuple(each(one) for one in plain)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        each = decoder(arguments[1])
        return lambda plain: {name: each(one) for name, one in plain.items()}
    if kind in (str, int, bool):
        return lambda plain: plain
    raise TypeError(f"{kind} has no plain form")


def _record_decoder(kind: type) -> Decoder:
    hints = get_type_hints(kind)
    decoders = {name: decoder(hint) for name, hint in hints.items() if name not in APART}

    def decode(plain: Any) -> Any:
        told = {
            name: each.value if type(each) is _Apart else decoders[name](each)
            for name, each in plain.items()
            if name != WHICH
        }
        return kind(**told)

    return decode


def _union_decoder(kinds: tuple[Any, ...]) -> Decoder:
    some = tuple(kind for kind in kinds if kind is not types.NoneType)
    if len(some) == 1:
        inner = decoder(some[0])
        return lambda plain: None if plain is None else inner(plain)
    return lambda plain: decoder(NAMES[plain[WHICH]])(plain)
