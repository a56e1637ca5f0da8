"""What is said of ways to start can be read, and says no more than was computed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from reading_ease import reading_ease
from sample_ways import NONE, sample_way, sample_ways

from watervane.planning.start_kinds import open_ways
from watervane.records import Finding, NumberQuantiles, Ways
from watervane.wording import start_remarks, start_sentences, start_steps, start_table

KEYS = [way.key for full in (False, True) for way in open_ways(occupied=full, planted=False)]
NEVER = NumberQuantiles(None, None, None, None, None)


def said(ways: Ways) -> str:
    return " ".join([*start_sentences(ways), *start_steps(ways)])


@pytest.mark.parametrize("key", KEYS)
def test_every_way_reads_easily_and_never_says_safe(key: str) -> None:
    text = said(sample_ways((key, "dosed-solution")))
    assert reading_ease(text) >= 55
    assert "safe" not in text.lower()
    assert "None" not in text


def test_ammonia_never_comes_without_its_cautions() -> None:
    for key in KEYS:
        ways = sample_ways((key, "dosed-solution"))
        dosed = ways.ways[0].dose_plan is not None
        text = " ".join(start_steps(ways))
        assert ("bleach" in text) is dosed
        assert ("foams" in text) is dosed


def test_material_never_comes_without_what_it_may_bring() -> None:
    for key in KEYS:
        ways = sample_ways((key, "dosed-solution"))
        assert ("parasites" in said(ways)) is (ways.ways[0].seed is not None)


def test_who_has_animals_is_told_of_their_hours_and_not_scolded() -> None:
    told = {"way": "tended", "hours": 0.0, "planned_hours": 819.0}
    ways = replace(
        sample_ways(("tended", "as-planned")),
        animals_in=6,
        reasons=(Finding("ways-help-the-animals", "info", told),),
    )
    text = " ".join(start_sentences(ways))
    assert "they come first" in text
    assert "watervane today" in text
    assert "they spend 0 hours" in text
    assert "820" in text
    for scolding in ("should", "mistake", "wrong", "too early", "never have put"):
        assert scolding not in text


def test_where_the_model_is_known_to_go_wrong_it_is_said() -> None:
    doubt = Finding("ways-plants-lift-ph", "caution",
                    {"way": "planted-animals", "chance": 0.3, "ph": 9.5})  # fmt: skip
    way = replace(sample_way("planted-animals", 30.0, animals=6), reasons=(doubt,))
    (text,) = start_remarks(replace(sample_ways(), ways=(way,)))
    assert text.startswith("Plants, then fish: in 6 of 20")
    assert "over 9.5" in text
    assert start_remarks(sample_ways()) == []


def test_what_is_not_reached_has_no_date() -> None:
    never = replace(sample_way("animals-first", 20.0, animals=6), settled_days=NEVER,
                    ready_days=NEVER, settled_within=0.3)  # fmt: skip
    ways = replace(sample_ways(), ways=(never,))
    assert "Fewer than half" in " ".join(start_sentences(ways))
    assert start_table(ways).rows[0][1:3] == ("-", "-")


def test_a_range_that_runs_out_of_sight_is_left_open() -> None:
    open_ended = replace(NONE, p50=30.0, p05=10.0, p95=None)
    way = replace(sample_way("dosed-salt", 20.0), settled_days=open_ended, settled_within=0.9)
    ways = replace(sample_ways(), ways=(way,))
    assert start_table(ways).rows[0][1] == "30 (10-)"
    assert "18 of 20 get there within 84 days" in " ".join(start_sentences(ways))


def test_nobody_is_told_to_go_on_with_what_harms_at_once() -> None:
    ways = sample_ways(("tended-seeded", "as-planned", "tended"))
    harmful = replace(ways.ways[1], harmed={"acute": 0.9, "chronic": 1.0})
    changed = replace(ways, ways=(ways.ways[0], harmful, ways.ways[2]))
    assert "Then go on as planned" in " ".join(start_sentences(ways))
    text = " ".join(start_sentences(changed))
    assert "Then go on as planned" not in text
    assert "Then feed half" in text
