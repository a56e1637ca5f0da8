"""``watervane ways``: what it says, in what order, and what it hands to programs."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_ways import sample_way, sample_ways
from test_commands import call

from watervane.planning.start_kinds import open_ways

KEYS = [
    way.key for occupied in (False, True) for way in open_ways(occupied=occupied, planted=False)
]


def test_the_way_to_prefer_comes_first_then_why_then_how_then_all_of_them() -> None:
    result = call(FakePorts(), "ways", "x.tank.toml")
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in (
            "ways to start, as of Sunday 1 March",
            "First choice: bring used filter material",
            "by day 10 (Thursday 12 March)",
            "No settled tank at hand? Then dose ammonium chloride",
            "normal_food",
            "Why: no animal lives in the water",
            "0.34 L of used sponge",
            "1.3 L of used ceramic or 0.37 L of used gravel",
            "890 L of it",
            "snails",
            "Never have bleach",
            "foams",
            "0.44 g of pure ammonium chloride",
            "(3.3)",  # 1 mg/L of nitrite as N, on a kit that shows the ion
            "0.40 dKH",
            "dose 0.44 g on Mon 2 Mar",
            "The ways side by side",
            "hardy fish first",
        )
    ]
    assert places == sorted(places)


@pytest.mark.parametrize("key", KEYS)
def test_every_way_has_its_words(key: str) -> None:
    fake = FakePorts(ways=sample_ways((key, "dosed-solution")))
    result = call(fake, "ways", "x.tank.toml")
    assert result.code == 0
    assert "start-" not in result.out
    assert "{" not in result.out


def test_the_table_fits_eighty_columns() -> None:
    wide = replace(sample_way("planted-animals", 44.0, animals=12, hours=12000.0), cost="little")
    ways = replace(sample_ways(), ways=(*sample_ways().ways, wide))
    result = call(FakePorts(ways=ways), "ways", "x.tank.toml")
    lines = result.out.splitlines()
    assert max(map(len, lines)) <= 80
    heads = [line for line in lines if line.startswith("Way ")]
    assert len(heads) == 1, "the table comes in one piece"


def test_a_price_to_animals_is_told_with_its_hours() -> None:
    result = call(FakePorts(), "ways", "x.tank.toml")
    row = next(line for line in result.out.splitlines() if line.startswith("hardy fish first"))
    assert "270" in row
    assert "8/20" in row


def test_json_holds_ways_doses_and_seeds() -> None:
    result = call(FakePorts(), "ways", "x.tank.toml", "--json", "--days", "60", "--members", "40")
    document = json.loads(result.out)
    assert document["format"] == "watervane-ways/1"
    assert document["preferred"] == document["ways"][0]["way"] == "seeded"
    plan = document["ways"][0]["dose_plan"]
    assert plan["first"]["first_dose_g"] == 0.44
    assert plan["doses"]["p50"] == 4.0
    assert document["ways"][0]["middle_future"][0]["kind"] == "dose"
    assert document["ways"][3]["animal_hours_above_limits"]["chronic"]["mean"] == 270.0
    assert document["seeds"][0] == {"source": "media", "kind": "sponge", "volume_l": 0.34}


def test_what_is_asked_reaches_the_engine() -> None:
    fake = FakePorts()
    call(fake, "ways", "x.tank.toml", "--days", "60", "--members", "40", "--seed", "7")
    ((request, as_of),) = fake.compared
    assert (request.horizon_days, request.members, request.seed) == (60, 40, 7)
    assert as_of is None


@pytest.mark.parametrize(
    "words", [("--days", "3"), ("--members", "5"), ("--at", "yesterday"), ("--at", "2026-02-31")]
)
def test_what_cannot_be_is_refused_in_one_message(words: tuple[str, str]) -> None:
    result = call(FakePorts(), "ways", "x.tank.toml", *words)
    assert result.code == 2
    assert "Traceback" not in result.err
