"""A tank's description made or changed by lines such as ``heater.set_point=25 degC``."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import tomlkit

from watervane.exchange.problems import fail, nearest, shown
from watervane.exchange.tank_reader import parse_tank_text
from watervane.exchange.tank_writer import write_tank_file
from watervane.exchange.vocabulary import FILE, FORMAT, TANK
from watervane.records import Tank

FREE_TEXT = ("name", "notes")  # a tank may be called 7


def describe_tank(words: Sequence[str], tank: Tank | None = None, name: str = "") -> Tank:
    """A tank described by ``key=value`` words, its log left out.

    Parameters
    ----------
    words
        Keys of a tank file, those of ``[tank]`` without that; parts with a dot:
        ``shape.length=60 cm``, ``source_water.kh=5 dKH``. Nothing after the sign takes a key out.
    tank
        What is changed; a new tank where it is left out.
    name
        Of a new tank.

    Raises
    ------
    TankFileErrors
        With every problem found.
    """
    if tank is None:
        document = tomlkit.document()
        document.add("format", tomlkit.item(FORMAT))
        document.add("tank", tomlkit.item({"name": name}))
    else:
        document = tomlkit.parse(write_tank_file(replace(tank, events=(), habits=(), readings=())))
    for word in words:
        path, sign, value = word.partition("=")
        if not sign:
            fail("describe-word", value=shown(word))
        _put(document, _path(path), value.strip())
    return parse_tank_text(tomlkit.dumps(document), name or "tank")


def _path(text: str) -> list[str]:
    parts = [part.strip().lower().replace("-", "_") for part in text.split(".")]
    if parts[0] == "kits" and len(parts) > 1:
        parts[1] = text.split(".")[1].strip()  # a kit is called what its keeper calls it
    if parts[0] in TANK.names:
        return ["tank", *parts]
    if parts[0] not in FILE.names or parts[0] in ("event", "reading", "format"):
        near = nearest(parts[0], (*TANK.names, "source_water", "kits", "amounts"))
        fail("describe-key", value=shown(text), near=near or "name", known=TANK.names)
    return parts


def _put(document: Any, path: list[str], text: str) -> None:
    inner = document
    for part in path[:-1]:
        if not hasattr(inner.get(part), "keys"):
            inner[part] = tomlkit.inline_table() if inner is not document else tomlkit.table()
        inner = inner[part]
    if text:
        inner[path[-1]] = text if path[-1] in FREE_TEXT else _value(text)
    else:
        inner.pop(path[-1], None)


def _value(text: str) -> Any:
    """A number, date, list or yes and no as TOML writes them; any other text as text."""
    if text.lower() in ("yes", "no"):
        return text.lower() == "yes"
    try:
        value = tomllib.loads(f"value = {text}")["value"]
    except (tomllib.TOMLDecodeError, ValueError, RecursionError):
        return text
    return value if isinstance(value, bool | int | float | date | list | dict | str) else text
