"""``watervane bring-home``: in the order of the work, and every wrong option at once."""

from __future__ import annotations

import json
import re

import pytest
from fake_ports import FakePorts
from test_commands import call
from typer.testing import CliRunner

from watervane.bootstrap import real_ports
from watervane.cli.program import program

GOOD = ("bring-home", "x.tank.toml", "--animals", "6 Danio rerio", "--hours", "2")


def test_the_bag_comes_first_then_the_work_in_order() -> None:
    result = call(FakePorts(), *GOOD)
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in (
            "most likely holds",
            "dripping in",
            "Before you buy",
            "Never pour",
            "quarantine",
        )
    ]
    assert places == sorted(places)
    assert "{" not in result.out
    assert "bring-" not in result.out


def test_json_holds_the_trip_and_the_advice() -> None:
    document = json.loads(call(FakePorts(), *GOOD, "--json", "--gas", "oxygen").out)
    assert document["format"] == "watervane-homecoming/1"
    assert (document["trip"]["count"], document["trip"]["gas"]) == (6, "oxygen")
    assert document["advice"][-1]["key"] == "bring-rest"
    assert document["arriving"]["oxygen_mg_per_l"]["p50"] > 20.0


def test_every_wrong_option_is_named_at_once() -> None:
    result = call(
        FakePorts(), "bring-home", "x", "--animals", "guppies", "--hours", "999", "--ph", "2"
    )
    assert result.code == 2
    for text in ("'guppies'", "--hours 999", "--ph 2"):
        assert text in result.err
    assert "Traceback" not in result.err


@pytest.mark.parametrize("hours", ["nan", "inf", "-1", "soon"])
def test_impossible_hours_are_refused(hours: str) -> None:
    assert call(FakePorts(), *GOOD[:-1], hours).code == 2


def test_the_gaps_of_both_waters_are_told_for_fish_and_for_shrimps() -> None:
    out = " ".join(call(FakePorts(), *GOOD, "--ph", "6.2", "--gh", "2").out.split())
    for text in ("pH: the shop's 6.2", "Warmth: the bag's is not told", "the shop's 2 dGH"):
        assert text in out
    assert out.count("hrimps and snails") >= 3
    assert "more than the 0.5 that these animals bear" in out
    assert "Ask the shop" in " ".join(call(FakePorts(), *GOOD).out.split())


def test_a_forgotten_file_is_asked_for_with_what_makes_one() -> None:
    result = call(FakePorts(), "bring-home", "--animals", "6 Danio rerio", "--hours", "2")
    assert result.code == 2
    assert "Name the file" in result.err
    assert "watervane bring-home reading-room.tank.toml" in " ".join(result.err.split())


def test_a_misspelt_file_is_asked_about() -> None:
    result = CliRunner().invoke(program, ["check", "examples/first-weak.tank.toml"], obj=real_ports)
    assert result.exit_code == 2
    assert "Did you mean 'examples/first-week.tank.toml'?" in result.stderr
    assert "problem" not in result.stderr


def test_whoever_has_them_in_the_bag_is_told_where_to_begin() -> None:
    out = " ".join(call(FakePorts(), *GOOD).out.split())
    number = re.search(r"in the bag already\? Keep it dark and begin with step (\d)", out)
    assert number is not None
    assert f"{number[1]}. Let the shut bag float" in out
    assert re.search(r"within about \d+ hours\.", out), "no hundredths of an hour"
    stifled = " ".join(call(FakePorts(), *GOOD[:-1], "40", "--gas-space", "0.4").out.split())
    number = re.search(r"begin with step (\d)", stifled)
    assert number is not None
    assert f"{number[1]}. Home: if they gasp, open the bag at once" in stifled
    assert "If none gasps, let it float shut" in stifled
