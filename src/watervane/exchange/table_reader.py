"""Read a table by its keys, reporting everything that is wrong with it."""

from __future__ import annotations

from typing import Any

from watervane.exchange.forms import Context, Form, Key, ListOf, Table, attempt
from watervane.exchange.problems import Place, Refusal, nearest, shown

Values = dict[str, Any]


def read_table(raw: Any, table: Table, place: Place, context: Context) -> Values:
    """The readable values of a table by key; what cannot be read is reported and left out."""
    if not isinstance(raw, dict):
        place.problem("not-a-table", name=table.name, value=shown(raw))
        return {}
    values: Values = {}
    misspelt: set[str | None] = set()
    for name, value in raw.items():
        key = table.key(name)
        if key is None:
            misspelt.add(report_unknown_key(name, table, place))
            continue
        read = read_value(value, key.form, place.at(name, f"{table.name}, {name}"), context)
        if read is not None:
            values[name] = read
    for key in table.keys:
        if key.required and key.name not in raw and key.name not in misspelt:
            place.problem("missing-key", name=table.name, missing=key.name, about=key.about)
    return values


def read_value(raw: Any, form: Form | Table | ListOf, place: Place, context: Context) -> Any:
    """One value, or ``None`` after reporting why there is none."""
    if isinstance(form, Table):
        return (
            read_table(raw, form, place, context)
            if isinstance(raw, dict)
            else _no_table(raw, place)
        )
    if isinstance(form, ListOf):
        return _read_list(raw, form, place, context)
    try:
        return attempt(form, raw, context)
    except Refusal as refusal:
        place.problem(refusal.key, name=place.name, **refusal.arguments)
        return None


def report_unknown_key(name: str, table: Table, place: Place) -> str | None:
    """Say that a key is unknown and which was probably meant; that one is handed back."""
    told = {"name": table.name, "unknown": shown(name)}
    near = nearest(name, table.names)
    if near is not None:
        place.at(name).problem("unknown-key-near", **told, near=near)
    else:
        place.at(name).problem("unknown-key", **told, known=table.names)
    return near


def _no_table(raw: Any, place: Place) -> None:
    place.problem("not-a-table", name=place.name, value=shown(raw))


def _read_list(raw: Any, form: ListOf, place: Place, context: Context) -> list[Any] | None:
    if not isinstance(raw, list):
        place.problem("not-a-list", name=place.name, value=shown(raw))
        return None
    if len(raw) < form.least:
        place.problem("list-too-short", name=place.name, least=form.least)
        return None
    read = [read_value(v, form.element, place.at(i), context) for i, v in enumerate(raw)]
    return [value for value in read if value is not None]


def record_fields(values: Values, keys: tuple[Key, ...]) -> dict[str, Any]:
    """Values by the names of the record's fields."""
    return {k.target: values[k.name] for k in keys if k.name in values}
