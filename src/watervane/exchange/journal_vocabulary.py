"""Every field of a journal document: reader, writer and schema share this one list."""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

FORMAT_JOURNAL = "watervane-journal/1"
ENTRY_KINDS = ("tank", "reading", "event", "habit", "undo")
_MOST = 2**53


@dataclass(frozen=True)
class Sort:
    """One sort of value: its schema, how it is read and how it is written."""

    wanted: str  # what would be accepted, in words
    schema: Mapping[str, Any]
    read: Callable[[Any], Any]  # raises ValueError or TypeError
    write: Callable[[Any], Any] = lambda value: value


@dataclass(frozen=True)
class Field:
    """One field of an object of the document."""

    name: str
    sort: Sort
    about: str
    optional: bool = False


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _name(value: Any) -> str:
    if not _text(value) or len(value) > 200:
        raise ValueError
    return str(value)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 1e308:
        raise TypeError
    return float(value)


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < _MOST:
        raise TypeError
    return value


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise TypeError
    return value


def _moment(value: Any) -> datetime:
    at = datetime.fromisoformat(_text(value))
    if at.tzinfo is None:
        raise ValueError
    return at.astimezone(UTC)


def _kind(value: Any) -> str:
    if value not in ENTRY_KINDS:
        raise ValueError
    return str(value)


def _bytes(value: Any) -> bytes:
    try:
        return base64.b64decode(_text(value), validate=True)
    except binascii.Error as error:
        raise ValueError from error


def closed(value: Any) -> str:
    """The JSON text of what stands in the document as an object, or as its text."""
    if isinstance(value, str):
        json.loads(value)
        return value
    if not isinstance(value, dict):
        raise TypeError
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def opened(text: str) -> Any:
    """JSON text as an object where that can be turned back into the very same text."""
    try:
        value = json.loads(text)
        return value if isinstance(value, dict) and closed(value) == text else text
    except ValueError:
        return text


TEXT = Sort("a text", {"type": "string"}, _text)
NAME = Sort(
    "a text of 1 to 200 letters", {"type": "string", "minLength": 1, "maxLength": 200}, _name
)
NUMBER = Sort("a number", {"type": "number"}, _number)
WHOLE = Sort("a whole number from 0", {"type": "integer", "minimum": 0}, _whole)
FLAG = Sort("true or false", {"type": "boolean"}, _flag)
MOMENT = Sort(
    "a moment with its offset, such as 2026-03-12T18:00:00+00:00",
    {"type": "string", "format": "date-time"},
    _moment,
    lambda at: at.astimezone(UTC).isoformat(),
)
KIND = Sort(f"one of {', '.join(ENTRY_KINDS)}", {"enum": list(ENTRY_KINDS)}, _kind)
OBJECT = Sort(
    "an object, or the JSON text of one",
    {"anyOf": [{"type": "object"}, {"type": "string", "contentMediaType": "application/json"}]},
    closed,
    opened,
)
BYTES = Sort(
    "bytes in base64",
    {"type": "string", "contentEncoding": "base64"},
    _bytes,
    lambda data: base64.b64encode(data).decode("ascii"),
)

TANK_FIELDS = (
    Field("key", NAME, "names the tank in every journal it is taken to"),
    Field("name", TEXT, "what the keeper calls it"),
    Field("write", NAME, "the write that added it"),
)
WRITE_FIELDS = (
    Field("key", NAME, "names the write in every journal"),
    Field("actor", NAME, "who wrote"),
    Field("request", TEXT, "the writer's own name for the write; sent twice, it is kept once"),
    Field("digest", TEXT, "SHA-256 of what was asked"),
    Field("what", TEXT, "kind of write, in a word"),
    Field("written_at", MOMENT, "when it was written"),
)
ENTRY_FIELDS = (
    Field("key", NAME, "names the entry in every journal"),
    Field("write", NAME, "key of the write it came of"),
    Field("kind", KIND, "a description of the tank, a reading, an event, a habit or an undoing"),
    Field("corrects", NAME, "key of the entry that is corrected or undone", optional=True),
    Field("at", MOMENT, "when it was, UTC", optional=True),
    Field("zone", TEXT, "the keeper's time zone", optional=True),
    Field("hour_known", FLAG, "false where only the day was told", optional=True),
    Field("subject", TEXT, "quantity of a reading, kind of an event", optional=True),
    Field("low", NUMBER, "of a reading, in the canonical unit", optional=True),
    Field("high", NUMBER, "of a reading, in the canonical unit", optional=True),
    Field("raw", TEXT, "the keeper's own words"),
    Field("body", OBJECT, "what was understood"),
)
FORECAST_FIELDS = (
    Field("key", NAME, "names the forecast in every journal"),
    Field("write", NAME, "key of the write it came of"),
    Field("knew", NAME, "key of the last entry it knew of", optional=True),
    Field("as_of", MOMENT, "the moment it was made for"),
    Field("horizon_days", WHOLE, "how many days ahead"),
    Field("seed", WHOLE, "of chance"),
    Field("members", WHOLE, "imagined tanks"),
    Field("model_version", TEXT, "version of the model"),
    Field("parameter_digest", TEXT, "digest of the model's parameters"),
    Field("document", OBJECT, "the forecast as it was published"),
)
PHOTO_FIELDS = (
    Field("key", NAME, "names the photo in every journal"),
    Field("entry", NAME, "key of the entry it belongs to"),
    Field("media_type", TEXT, "such as image/jpeg"),
    Field("width_px", WHOLE, "width"),
    Field("height_px", WHOLE, "height"),
    Field("digest", TEXT, "SHA-256 of the bytes"),
    Field("data", BYTES, "the bytes"),
)
LISTS = {
    "writes": (WRITE_FIELDS, "in the order they were written"),
    "entries": (ENTRY_FIELDS, "in the order they were written; nothing is left out"),
    "forecasts": (FORECAST_FIELDS, "as they were made, to be scored later"),
    "photos": (PHOTO_FIELDS, "without place or camera"),
}
