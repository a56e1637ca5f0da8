"""A tank's whole history as one open document, out and in."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any

from watervane.exchange.journal_vocabulary import (
    FORMAT_JOURNAL,
    LISTS,
    TANK_FIELDS,
    Field,
)
from watervane.exchange.problems import TankFileErrors, fail, nearest, shown
from watervane.exchange.source_text import decoded
from watervane.records import (
    EntryMade,
    Finding,
    ForecastMade,
    KeptForecast,
    Photo,
    PhotoMade,
    TankHistory,
    WriteMade,
)

MOST_TOLD = 20  # problems of one document
DIALECT = "https://json-schema.org/draft/2020-12/schema"
_FORECAST = ("key", "write", "knew")  # fields beside the forecast itself
_PHOTO = ("key", "entry")


def journal_text(history: TankHistory) -> str:
    """A history as the text of a journal document, one line a thing, for reading and for git.

    Its owner is not told: whoever takes it in owns what comes of it.
    """
    parts = [
        f'"format": {json.dumps(FORMAT_JOURNAL)}',
        f'"tank": {_object(dataclasses.asdict(_bare(history)), TANK_FIELDS)}',
    ]
    told: Mapping[str, Sequence[Any]] = {
        "writes": [dataclasses.asdict(write) for write in history.writes],
        "entries": [dataclasses.asdict(entry) for entry in history.entries],
        "forecasts": [_flat(made, made.forecast) for made in history.forecasts],
        "photos": [_flat(made, made.photo) for made in history.photos],
    }
    for name, (fields, _) in LISTS.items():
        lines = ",\n".join(_object(values, fields) for values in told[name])
        parts.append(f'"{name}": [\n{lines}\n]' if lines else f'"{name}": []')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _bare(history: TankHistory) -> TankHistory:
    return dataclasses.replace(history, writes=(), entries=(), forecasts=(), photos=())


def _flat(made: ForecastMade | PhotoMade, inner: KeptForecast | Photo) -> dict[str, Any]:
    fields = dataclasses.fields(inner)
    apart = {field.name: getattr(inner, field.name) for field in fields}
    return apart | {
        field.name: getattr(made, field.name)
        for field in dataclasses.fields(made)
        if field.name not in ("forecast", "photo")
    }


def _object(values: Mapping[str, Any], fields: tuple[Field, ...]) -> str:
    told = {
        field.name: field.sort.write(values[field.name])
        for field in fields
        if values[field.name] is not None
    }
    return json.dumps(told, ensure_ascii=False, allow_nan=False)


def read_journal_file(path: FilePath) -> TankHistory:
    """Read a journal document.

    Raises
    ------
    TankFileErrors
        With every problem, each naming the field and what would be accepted.
    """
    return read_journal_text(decoded(path.read_bytes()))


def read_journal_text(text: str) -> TankHistory:
    """Read the text of a journal document; raises `TankFileErrors`."""
    try:
        document = json.loads(text)
    except json.JSONDecodeError as error:
        told = {"said": shown(error.msg), "column": error.colno}
        raise TankFileErrors(
            [Finding("journal-file-syntax", "problem", told, error.lineno)]
        ) from error
    except (RecursionError, ValueError):
        fail("syntax-nested")
    if not isinstance(document, dict) or document.get("format") != FORMAT_JOURNAL:
        value = document.get("format") if isinstance(document, dict) else document
        fail("journal-file-format", value=shown(value), format=FORMAT_JOURNAL)
    return _Reader().history(document)


class _Reader:
    """Collects what is wrong with a document."""

    def __init__(self) -> None:
        self.problems: list[Finding] = []

    def history(self, document: Mapping[str, Any]) -> TankHistory:
        for name in document:
            if name not in ("format", "tank", *LISTS):
                self._unknown(name, ("format", "tank", *LISTS))
        tank = self._fields(document.get("tank"), TANK_FIELDS, "tank")
        lists = {name: self._list(document, name) for name in LISTS}
        for count, photo in enumerate(lists["photos"], start=1):
            if hashlib.sha256(photo.get("data", b"")).hexdigest() != photo.get("digest"):
                self._problem("journal-file-photo", f"photos[{count}].digest")
        if self.problems:
            raise TankFileErrors(self.problems[:MOST_TOLD])
        return TankHistory(
            **tank,
            writes=tuple(WriteMade(**one) for one in lists["writes"]),
            entries=tuple(EntryMade(**one) for one in lists["entries"]),
            forecasts=tuple(map(_forecast, lists["forecasts"])),
            photos=tuple(map(_photo, lists["photos"])),
        )

    def _list(self, document: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
        if name not in document:
            self._problem("journal-file-missing", name, wanted="a list, maybe an empty one")
            return []
        told = document[name]
        if not isinstance(told, list):
            self._problem("journal-file-list", name, value=shown(told))
            return []
        fields = LISTS[name][0]
        return [self._fields(one, fields, f"{name}[{i}]") for i, one in enumerate(told, start=1)]

    def _fields(self, told: Any, fields: tuple[Field, ...], place: str) -> dict[str, Any]:
        if told is None:
            self._problem("journal-file-missing", place, wanted="an object")
            return {}
        if not isinstance(told, dict):
            self._problem("journal-file-object", place, value=shown(told))
            return {}
        names = tuple(field.name for field in fields)
        for name in told:
            if name not in names:
                self._unknown(f"{place}.{name}", names)
        found: dict[str, Any] = {}
        for field in fields:
            name = f"{place}.{field.name}"
            if field.name not in told and not field.optional:
                self._problem("journal-file-missing", name, wanted=field.sort.wanted)
            found[field.name] = None
            if field.name in told:
                try:
                    found[field.name] = field.sort.read(told[field.name])
                except (ValueError, TypeError, OverflowError, RecursionError):
                    value = shown(told[field.name])
                    self._problem("journal-file-field", name, value=value, wanted=field.sort.wanted)
        return found

    def _problem(self, key: str, name: str, **told: object) -> None:
        self.problems.append(Finding(key, "problem", {"name": name, **told}))

    def _unknown(self, name: str, known: tuple[str, ...]) -> None:
        near = nearest(name.rpartition(".")[2], known)
        self._problem("journal-file-unknown", name, known=(near,) if near else known)


def _forecast(told: dict[str, Any]) -> ForecastMade:
    apart = {name: told.pop(name) for name in _FORECAST}
    return ForecastMade(**apart, forecast=KeptForecast(**told, newest_entry=0))


def _photo(told: dict[str, Any]) -> PhotoMade:
    apart = {name: told.pop(name) for name in _PHOTO}
    return PhotoMade(**apart, photo=Photo(**told))


def journal_schema() -> dict[str, Any]:
    """Schema (draft 2020-12) of a journal document."""
    properties: dict[str, Any] = {
        "format": {"const": FORMAT_JOURNAL, "description": "kind and version of the document"},
        "tank": {**_schema(TANK_FIELDS), "description": "the tank it is about"},
    }
    for name, (fields, about) in LISTS.items():
        properties[name] = {"type": "array", "items": _schema(fields), "description": about}
    return {
        "$schema": DIALECT,
        "$id": f"urn:{FORMAT_JOURNAL}",
        "title": "Journal of a tank",
        "type": "object",
        "properties": properties,
        "required": ["format", "tank", *LISTS],
        "additionalProperties": False,
    }


def _schema(fields: tuple[Field, ...]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {f.name: {**f.sort.schema, "description": f.about} for f in fields},
        "required": [field.name for field in fields if not field.optional],
        "additionalProperties": False,
    }
