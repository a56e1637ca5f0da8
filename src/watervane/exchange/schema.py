"""JSON Schema of the tank file, made from the same keys the reader knows."""

from __future__ import annotations

from typing import Any

from watervane.exchange.forms import Form, Key, ListOf, Table
from watervane.exchange.limit_edits import limit_edits_schema
from watervane.exchange.vocabulary import (
    EVENT_KINDS,
    FILE,
    FORMAT,
    HABIT_KEYS,
    KIT,
    SHARED_KEYS,
)

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def tank_file_schema() -> dict[str, Any]:
    """Schema (draft 2020-12) of a tank file read as JSON, dates and times being strings."""
    schema = _table(FILE)
    properties = schema["properties"]
    properties["format"] = {"const": FORMAT, "description": FILE.keys[0].about}
    properties["kits"] = {
        "type": "object",
        "description": _about(FILE, "kits"),
        "propertyNames": {"minLength": 1, "maxLength": 60},
        "additionalProperties": _table(KIT),
    }
    properties["limits"] = limit_edits_schema(_about(FILE, "limits"))
    properties["event"] = {
        "type": "array",
        "description": _about(FILE, "event"),
        "items": _event(),
    }
    return {"$schema": DIALECT, "$id": f"urn:{FORMAT}", "title": "Tank file", **schema}


def _about(table: Table, name: str) -> str:
    key = table.key(name)
    return "" if key is None else key.about


def _form(form: Form | Table | ListOf) -> dict[str, Any]:
    if isinstance(form, Table):
        return _table(form)
    if isinstance(form, ListOf):
        return {"type": "array", "items": _form(form.element), "minItems": form.least}
    return form.schema()


def _table(table: Table) -> dict[str, Any]:
    filled = {"minProperties": table.least} if table.least else {}
    return {
        "type": "object",
        **filled,
        "properties": _properties(table.keys),
        "required": [key.name for key in table.keys if key.required],
        "additionalProperties": False,
    }


def _properties(keys: tuple[Key, ...]) -> dict[str, Any]:
    return {key.name: {**_form(key.form), "description": key.about} for key in keys}


def _event() -> dict[str, Any]:
    """One branch a kind, so that an editor names the keys of the kind at hand."""
    habit = {"required": [key.name for key in HABIT_KEYS if key.name != "until"]}
    dated = {"required": ["at"], "not": {"anyOf": [{"required": [k.name]} for k in HABIT_KEYS]}}
    branches = []
    for kind in EVENT_KINDS.values():
        branch = {
            "properties": _properties((*SHARED_KEYS, *HABIT_KEYS, *kind.keys)),
            "required": [key.name for key in kind.keys if key.required],
            "additionalProperties": False,
        }
        chosen = {"properties": {"kind": {"const": kind.word}}, "required": ["kind"]}
        branches.append({"if": chosen, "then": branch})
    return {
        "type": "object",
        "properties": {"kind": {"enum": list(EVENT_KINDS)}},
        "required": ["kind"],
        "anyOf": [dated, habit],
        "allOf": branches,
    }
