"""``watervane blueprint choose``: real choices from words to print, file and JSON."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

import pytest
from fake_ports import FakePorts
from hypothesis import given, settings
from hypothesis import strategies as st
from test_commands import call

from watervane.app import BadInput
from watervane.bootstrap_blueprint import blueprint_ports as real_blueprint_ports
from watervane.exchange import read_tank_file

TANK = ("blueprint", "choose", "--size", "100 x 40 x 50 cm", "--outside", "--glass", "8 mm")
TAP = ("--tap", "kh 1 dKH", "--tap", "gh 6 dGH", "--tap", "nitrate 5 mg/L")
COOL = ("--room", "17..25 degC")


def test_numbers_come_first_then_what_binds_then_reasons_then_help() -> None:
    words = ("--wish", "12 neon tetra", "--wish", "goldfish", "--wish", "zebrafish")
    result = call(FakePorts(), *TANK, *TAP, *COOL, *words, "--change", "12 L")
    assert result.code == 3, result.err
    told = [
        "animals that can share",
        "Best numbers",
        "The animals chosen",
        "What holds it back",
        "What is left out",
        "What would help",
    ]
    places = [result.out.index(each) for each in told]
    assert places == sorted(places)
    lines = [line for line in result.out.splitlines() if line.startswith("\N{BULLET}")]
    assert len(lines) == len(set(lines))  # a reason is told once
    assert "cannot live with whom" not in result.out  # those left out tell it
    assert "L more a week" in " ".join(result.out.split())


def test_json_and_a_wish_list_that_can_be_met() -> None:
    words = (*TAP, *COOL, "--wish", "8 Danio rerio, weight 3", "--change", "60 %")
    told = json.loads(call(FakePorts(), *TANK, *words, "--json").out)
    assert told["format"] == "watervane-choice/1"
    assert told["whole"] is True
    assert [each["count"] for each in told["chosen"]] == [8]
    assert told["wish"]["animals"][0]["weight"] == 3.0
    assert told["change_l_per_week"] == pytest.approx(0.6 * told["net_l"], rel=1e-3)


def test_a_file_is_made_for_the_animals_chosen(tmp_path: Path) -> None:
    file = tmp_path / "chosen.tank.toml"
    words = (*TAP, *COOL, "--wish", "8 Danio rerio", "--change", "60 %", "--write", str(file))
    result = call(FakePorts(), *TANK, *words, "--filled", "2026-03-01")
    assert result.code == 0, result.err
    tank = read_tank_file(file)
    told = json.loads(call(FakePorts(), *TANK, *words[:-2], "--json").out)
    assert tank.heater_set_point_c == pytest.approx(told["temperature_c"])
    assert tank.normal_food_g_per_d is not None
    food = told["chosen"][0]["food_g_per_d"]
    assert tank.normal_food_g_per_d.low < food < tank.normal_food_g_per_d.high
    assert call(FakePorts(), *TANK, *words).code == 2


def test_own_rows_go_before_ours(tmp_path: Path) -> None:
    own = tmp_path / "own.csv"
    own.write_text(
        "scientific_name,common_names,kind,form,adult_low_cm,adult_cm,adult_high_cm,group_min\n"
        "Aus bus,pond wanderer,fish,slender fish,3,4,5,1\n",
        encoding="utf-8",
    )
    words = (*TAP, "--wish", "2 pond wanderer", "--own", str(own), "--json")
    result = call(FakePorts(), *TANK, *words)
    assert result.code in {0, 3}, result.err
    assert "Aus bus" in result.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "No animal is wished for"),
        (("--wish", "10 guppys and more"), "guppy"),
        (("--wish", "0 guppy"), "no wish"),
        (("--wish", "guppy, weight much"), "no wish"),
        (("--wish", "guppy", "--wish", "Poecilia reticulata"), "wished for twice"),
        (("--wish", "guppy", "--change", "120 %"), "25 %"),
        (("--wish", "guppy", "--change", "often"), "--change"),
        (("--wish", "guppy", "--size", "60 x 30"), "3 sizes"),
        (("--wish", "guppy", "--water-depth", "90 cm"), "rim"),
        (("--wish", "guppy", "--tap", "kh 3 dKH", "--tap", "nitrate 80 mg/L"), "blend it"),
    ],
)
def test_bad_words_say_which_and_what_would_help(words: tuple[str, ...], told: str) -> None:
    result = call(FakePorts(), *TANK, *words)
    assert result.code == 2, result.out
    assert told in " ".join(result.err.split())
    assert "Traceback" not in result.err


WORDS = st.text("0123456789 ,.%Lweightgupy", max_size=20)


@settings(max_examples=60, deadline=None)
@given(wishes=st.lists(WORDS, max_size=3), change=WORDS)
def test_whatever_is_typed_is_chosen_from_or_refused(wishes, change) -> None:
    words = {"size": "60 x 30 x 36 cm", "wish": tuple(wishes), "change": change}
    with suppress(BadInput):
        assert real_blueprint_ports().choose(words, ()).chosen is not None


@pytest.mark.parametrize("kh", ["1", "2.9", "3", "3.1", "4"])
def test_who_is_chosen_lives_in_the_water_as_it_is_at_that_temperature(kh: str) -> None:
    """PH falls as water warms: settled at the temperature chosen, the same animals are chosen."""
    tap = ("--tap", f"kh {kh} dKH", "--tap", "gh 8 dGH", "--change", "60 %")
    names = ("neon tetra", "Corydoras aeneus", "guppy")
    wishes = tuple(word for name in names for word in ("--wish", name))
    told = json.loads(call(FakePorts(), *TANK, *tap, *COOL, *wishes, "--json").out)
    assert told["chosen"]
    kept = tuple(w for each in told["chosen"] for w in ("--wish", each["species"]))
    settled = (*kept, "--water", f"{told['temperature_c']} degC")
    again = json.loads(call(FakePorts(), *TANK, *tap, *COOL, *settled, "--json").out)
    assert again["whole"] is True
