"""A journal document holds all, tells what is wrong with it, and keeps to its schema."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from watervane.exchange import TankFileErrors, journal_schema, journal_text
from watervane.exchange.journal_json import read_journal_text
from watervane.records import (
    EntryMade,
    ForecastMade,
    KeptForecast,
    Photo,
    PhotoMade,
    TankHistory,
    WriteMade,
)
from watervane.wording import finding_line

words = st.text(st.characters(exclude_categories=("Cs",)), max_size=20)
names = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=20)
moments = st.datetimes(datetime(1970, 1, 2), datetime(2100, 1, 1), timezones=st.just(UTC))
objects = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | words
    | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3),
    max_leaves=6,
)
bodies = st.dictionaries(words, objects, max_size=4).map(
    lambda value: json.dumps(value, ensure_ascii=False, separators=(",", ":"))
) | st.dictionaries(words, objects, max_size=2).map(json.dumps)
numbers = st.none() | st.floats(-1e9, 1e9)


def optional(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


WRITES = st.builds(
    WriteMade, key=names, actor=names, request=words, digest=words, what=words, written_at=moments
)
ENTRIES = st.builds(
    EntryMade,
    key=names,
    write=names,
    kind=st.sampled_from(("tank", "reading", "event", "habit", "undo")),
    corrects=optional(names),
    at=optional(moments),
    zone=optional(words),
    hour_known=optional(st.booleans()),
    subject=optional(words),
    low=numbers,
    high=numbers,
    raw=words,
    body=bodies,
)
FORECASTS = st.builds(
    ForecastMade,
    key=names,
    write=names,
    knew=optional(names),
    forecast=st.builds(
        KeptForecast,
        as_of=moments,
        horizon_days=st.integers(0, 730),
        newest_entry=st.just(0),
        seed=st.integers(0, 2**31),
        members=st.integers(0, 10**5),
        model_version=words,
        parameter_digest=words,
        document=bodies,
    ),
)


def photo(data: bytes) -> Photo:
    return Photo("image/jpeg", 3, 2, hashlib.sha256(data).hexdigest(), data)


PHOTOS = st.builds(PhotoMade, key=names, entry=names, photo=st.binary(max_size=40).map(photo))
HISTORIES = st.builds(
    TankHistory,
    key=names,
    name=words,
    write=names,
    writes=st.lists(WRITES, max_size=2).map(tuple),
    entries=st.lists(ENTRIES, max_size=3).map(tuple),
    forecasts=st.lists(FORECASTS, max_size=1).map(tuple),
    photos=st.lists(PHOTOS, max_size=1).map(tuple),
)


@settings(max_examples=60, deadline=None)
@given(HISTORIES)
def test_any_history_comes_back_exactly_and_keeps_to_the_schema(history: TankHistory) -> None:
    text = journal_text(history)
    Draft202012Validator(journal_schema()).validate(json.loads(text))
    found = read_journal_text(text)
    assert found == history
    assert journal_text(found) == text


def test_the_schema_is_a_schema_and_explains_every_field() -> None:
    schema = journal_schema()
    Draft202012Validator.check_schema(schema)
    for name in ("writes", "entries", "forecasts", "photos"):
        for field in schema["properties"][name]["items"]["properties"].values():
            assert field["description"]


def document() -> dict[str, Any]:
    entry = ENTRY | {"body": {"name": "Study"}}
    return {
        "format": "watervane-journal/1",
        "tank": {"key": "t", "name": "Study", "write": "w"},
        "writes": [
            {
                "key": "w",
                "actor": "me",
                "request": "w",
                "digest": "d",
                "what": "add tank",
                "written_at": "2026-03-01T09:00:00+00:00",
            }
        ],
        "entries": [entry],
        "forecasts": [],
        "photos": [],
    }


ENTRY = {"key": "e", "write": "w", "kind": "tank", "raw": ""}
BAD: dict[str, tuple[Callable[[dict[str, Any]], Any], str]] = {
    "entries[1].kind: 'meal' cannot be read. Write one of tank, reading": (
        lambda d: d["entries"][0].update(kind="meal"),
        "kind",
    ),
    "writes[1].written_at: 'yesterday' cannot be read. Write a moment with its offset": (
        lambda d: d["writes"][0].update(written_at="yesterday"),
        "moment",
    ),
    "writes[1].written_at: '2026-03-01T09:00:00' cannot be read": (
        lambda d: d["writes"][0].update(written_at="2026-03-01T09:00:00"),
        "naive",
    ),
    "entries[1].raw is missing. It is a text": (lambda d: d["entries"][0].pop("raw"), "missing"),
    "entries[1].lowest is no field of such a document": (
        lambda d: d["entries"][0].update(lowest=1),
        "unknown",
    ),
    "entries[1].low: 'a lot' cannot be read. Write a number": (
        lambda d: d["entries"][0].update(low="a lot"),
        "number",
    ),
    "entries[1].body: 'a list' cannot be read. Write an object": (
        lambda d: d["entries"][0].update(body=[]),
        "body",
    ),
    "entries: 'a table' is no list": (lambda d: d.update(entries={}), "list"),
    "entries[1]: '3' is no object": (lambda d: d.update(entries=[3]), "object"),
    "tank is missing. It is an object.": (lambda d: d.pop("tank"), "tank"),
    "photos is missing. It is a list": (lambda d: d.pop("photos"), "no list"),
    "tanks is no field of such a document. Known are tank": (
        lambda d: d.update(tanks=[]),
        "part",
    ),
    "The document's format is 'watervane-journal/9'": (
        lambda d: d.update(format="watervane-journal/9"),
        "format",
    ),
    "photos[1].digest is not the digest": (
        lambda d: d.update(
            photos=[
                {
                    "key": "p",
                    "entry": "e",
                    "media_type": "image/jpeg",
                    "width_px": 1,
                    "height_px": 1,
                    "digest": "0",
                    "data": "AAAA",
                }
            ]
        ),
        "photo",
    ),
}


@pytest.mark.parametrize("said", BAD, ids=[case[1] for case in BAD.values()])
def test_each_problem_names_the_field_and_what_would_be_accepted(said: str) -> None:
    spoiled = document()
    BAD[said][0](spoiled)
    with pytest.raises(TankFileErrors) as raised:
        read_journal_text(json.dumps(spoiled))
    lines = [finding_line(problem) for problem in raised.value.problems]
    assert any(said in line for line in lines), lines


@pytest.mark.parametrize("text", ["", "{", "[1, 2", '{"a": }', "[" * 100_000])
def test_what_is_no_json_is_told_with_its_place(text: str) -> None:
    with pytest.raises(TankFileErrors) as raised:
        read_journal_text(text)
    (problem,) = raised.value.problems
    assert problem.key in ("journal-file-syntax", "syntax-nested")


def test_a_document_without_faults_is_read() -> None:
    assert read_journal_text(json.dumps(document())).name == "Study"
