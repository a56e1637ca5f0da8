"""The reference page of the tank file tells every key, and its examples are valid."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from test_schema import errors_of

from watervane.exchange import parse_tank_text
from watervane.exchange import vocabulary as v
from watervane.exchange.forms import ListOf, Table
from watervane.records import QUANTITY_UNITS
from watervane.reference import food_amounts

PAGE = (Path(__file__).parents[2] / "docs" / "tank-file.md").read_text("utf-8")
EXAMPLES = re.findall(r"^```toml\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
WORDS = set(re.findall(r"[a-z0-9_-]+", PAGE))


@pytest.mark.parametrize("text", EXAMPLES, ids=lambda t: f"{t.count(chr(10))}-lines")
def test_examples_on_the_page_are_valid(text: str) -> None:
    parse_tank_text(text)
    assert errors_of(text) == []


def test_the_page_shows_every_kind_of_event() -> None:
    shown = {type(event) for text in EXAMPLES for event in parse_tank_text(text).events}
    shown |= {type(h.template) for text in EXAMPLES for h in parse_tank_text(text).habits}
    assert shown == {kind.record for kind in v.EVENT_KINDS.values()}


def keys_of(table: Table) -> set[str]:
    found = set(table.names)
    for key in table.keys:
        form = key.form.element if isinstance(key.form, ListOf) else key.form
        if isinstance(form, Table):
            found |= keys_of(form)
    return found


def test_the_page_tells_every_key() -> None:
    keys = keys_of(v.FILE) | keys_of(v.KIT) | set(QUANTITY_UNITS) | set(food_amounts())
    for kind in v.EVENT_KINDS.values():
        keys |= {kind.word, *(key.name for key in kind.keys)}
    keys |= {key.name for key in (*v.SHARED_KEYS, *v.HABIT_KEYS)}
    assert sorted(keys - WORDS) == []
