"""The JSON Schema and the reader agree, both ways."""

from __future__ import annotations

import tomllib
from datetime import date, time
from typing import Any

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator
from sample_files import FULL, problems_in
from tanks import tanks
from test_bad_input import SPOILT
from test_tank_reader import SHIPPED

from watervane.exchange import tank_file_schema, write_tank_file
from watervane.exchange.vocabulary import EVENT_KINDS, FILE, HABIT_KEYS, SHARED_KEYS, TANK
from watervane.records import Tank

VALIDATOR = Draft202012Validator(tank_file_schema())

# What only the reader can know: units, other keys of the file, the calendar, the tables.
BEYOND_A_SCHEMA = (
    "unit.",
    *("volume-conflict", "zone-unknown", "medium-unknown", "substance-unknown", "kit-unknown"),
    *("before-filling", "clock-", "dose-no", "told-twice", "habit-", "depth-", "bed-", "glass-"),
    *("shape-key", "not-positive", "date-out", "not-printable", "change-", "kit-name", "share-"),
    *("kit-key", "kit-scale-bases", "reagent-of", "said-", "diluted-"),
    *("number-huge", "date-in-quotes"),  # in JSON every date is a string
)


def as_json(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: as_json(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, (date, time)) else value


def errors_of(text: str) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(as_json(tomllib.loads(text)))]


def test_the_schema_is_valid_in_itself() -> None:
    Draft202012Validator.check_schema(tank_file_schema())


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.name)
def test_shipped_examples_fit_the_schema(path) -> None:
    assert errors_of(path.read_text("utf-8")) == []


def test_the_full_example_fits_the_schema() -> None:
    assert errors_of(FULL) == []


@settings(max_examples=30, deadline=None)
@given(tanks())
def test_every_tank_we_write_fits_the_schema(tank: Tank) -> None:
    assert errors_of(write_tank_file(tank)) == []


SEEN_BY_SCHEMA = [
    case for case in SPOILT if not case[2].startswith(BEYOND_A_SCHEMA) and "nan" not in case[1]
]


@pytest.mark.parametrize(("good", "bad", "key"), SEEN_BY_SCHEMA, ids=lambda v: str(v)[:30])
def test_what_the_reader_refuses_the_schema_refuses_too(good: str, bad: str, key: str) -> None:
    text = FULL.replace(good, bad, 1)
    assert key in {p.key for p in problems_in(text)}
    assert errors_of(text)


def test_most_spoilt_files_are_of_the_kind_a_schema_sees() -> None:
    assert len(SEEN_BY_SCHEMA) >= 35


def test_a_product_is_refused_by_the_schema_as_well() -> None:
    assert errors_of(FULL.replace("0.7 mg/L as N", "9**9**9**9"))


def test_every_key_of_the_reader_stands_in_the_schema_and_no_other() -> None:
    schema = tank_file_schema()["properties"]
    assert set(schema) == set(FILE.names)
    assert set(schema["tank"]["properties"]) == set(TANK.names)
    branches = schema["event"]["items"]["allOf"]
    assert [b["if"]["properties"]["kind"]["const"] for b in branches] == list(EVENT_KINDS)
    for branch, kind in zip(branches, EVENT_KINDS.values(), strict=True):
        keys = {key.name for key in (*SHARED_KEYS, *HABIT_KEYS, *kind.keys)}
        assert set(branch["then"]["properties"]) == keys


def test_every_key_is_explained() -> None:
    def unexplained(node: Any, path: str = "") -> list[str]:
        found = []
        for name, inner in node.get("properties", {}).items():
            if "const" not in inner and "enum" not in inner and not inner.get("description"):
                found.append(f"{path}.{name}")
            found += unexplained(inner, f"{path}.{name}")
        return found

    assert unexplained(tank_file_schema()) == []
