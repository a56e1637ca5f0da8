"""The list of limits on the command line, and as a document."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_tank
from typer.testing import CliRunner

from watervane.cli.program import program
from watervane.records import AllowedRisk, LimitEdit, Tank


def run(tank: Tank, *options: str) -> str:
    made = FakePorts(tank=tank)
    result = CliRunner().invoke(program, ["limits", "x.tank.toml", *options], obj=made.ports)
    assert result.exit_code == 0, result.output
    return result.output


@pytest.fixture
def tank() -> Tank:
    return replace(sample_tank(), limit_edits=(LimitEdit("co2_comfort", 25.0, "plants"),))


def test_the_list_tells_names_levels_animals_and_sources(tank: Tank) -> None:
    told = " ".join(run(tank).split())
    assert "nitrite_acute_tolerant harm at once: nitrite over" in told
    assert "for Danio rerio; computed from voslarova2006" in told
    assert "co2_comfort comfort: carbon dioxide over 25 mg/L" in told
    assert "your own figure (plants)" in told
    assert "from memory of" in told
    assert all(len(line) <= 80 for line in run(tank).splitlines())


def test_every_shows_more(tank: Tank) -> None:
    some, every = run(tank), run(tank, "--every")
    assert "total_ammonia_chronic_four_days" not in some
    assert "total_ammonia_chronic_four_days" in every


def test_the_document_holds_all_of_them(tank: Tank) -> None:
    document = json.loads(run(tank, "--json"))
    assert document["format"] == "watervane-limits/1"
    assert document["animals"] == ["Danio rerio"]
    keys = {one["key"] for one in document["limits"]}
    assert {"oxygen_acute", "total_ammonia_chronic_four_days"} <= keys
    (mine,) = (one for one in document["limits"] if one["edited"])
    assert (mine["key"], mine["level"], mine["note"]) == ("co2_comfort", 25.0, "plants")


def test_the_risk_that_is_accepted_stands_above_the_list(tank: Tank) -> None:
    told = " ".join(run(tank).split())
    assert "1 % for harm at once, 5 % for harm over time, 20 % for discomfort." in told
    assert "as shipped" not in told
    own = replace(tank, allowed_risk=AllowedRisk(acute=0.005))
    told = " ".join(run(own).split())
    assert "0.5 % for harm at once, 5 % for harm over time, 20 % for discomfort (your own" in told
    assert "as shipped, 1 %, 5 % and 20 %" in told
    document = json.loads(run(own, "--json"))
    assert document["accepted_risk"] == {"acute": 0.005, "chronic": 0.05, "comfort": 0.2}
