"""Records of answers come back as they were, figure for figure."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from sample_growing import sample_headroom as made_headroom
from sample_rehearsals import sample_rehearsals
from sample_ways import sample_ways

from watervane.engine import bring_home, list_limits
from watervane.exchange import TankFileErrors
from watervane.exchange.record_text import record_of_text, record_text
from watervane.records import AnimalsIn, Headroom, Mishap, Tank, Trip, Ways

TANK = Tank(
    name="Study",
    filled=date(2026, 3, 1),
    volume_l=57.0,
    events=(AnimalsIn(at=datetime(2026, 3, 2, tzinfo=UTC), species="Danio rerio", count=4),),
)


def sample_headroom() -> Headroom:
    return made_headroom(diagnostics=sample_ways().diagnostics)


RECORDS: dict[str, Callable[[], object]] = {
    "headroom": sample_headroom,
    "ways": sample_ways,
    "rehearsals": lambda: sample_rehearsals((Mishap("power-cut", 8.0),)),
    "homecoming": lambda: bring_home(TANK, Trip("Danio rerio", 6, 2.0, ph=7.1), seed=1),
    "limits": lambda: list_limits(TANK),
}


@pytest.mark.parametrize("name", list(RECORDS))
def test_a_record_comes_back_as_it_was(name: str) -> None:
    record = RECORDS[name]()
    text = record_text(record)
    again = record_of_text(type(record), text)
    assert again == record or record_text(again) == text
    assert type(again) is type(record)


def test_what_a_record_does_not_know_is_left_out_and_what_it_lacks_is_told() -> None:
    told = json.loads(record_text(sample_headroom()))
    assert record_of_text(Headroom, json.dumps({**told, "later": 1})) == sample_headroom()
    del told["seed"]
    with pytest.raises(TankFileErrors) as error:
        record_of_text(Headroom, json.dumps(told))
    assert error.value.problems[0].key == "stored-unreadable"


@pytest.mark.parametrize("text", ["", "[]", "7", '{"seed": "one"}', "null"])
def test_what_is_no_record_is_refused(text: str) -> None:
    with pytest.raises(TankFileErrors):
        record_of_text(Ways, text)


def test_a_wrong_kind_of_figure_is_refused() -> None:
    text = record_text(replace(sample_ways(), tank="Study")).replace('"tank":"Study"', '"tank":3')
    with pytest.raises(TankFileErrors):
        record_of_text(Ways, text)
