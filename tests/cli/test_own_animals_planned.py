"""A keeper's own animals in plans, choices and the catalogue; a water report from a file."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from fake_ports import FakePorts
from test_commands import call

from watervane.app.blueprint_ports import BlueprintRequest
from watervane.app.planning_pages import plan_together, planned_tank
from watervane.app.setting_up import adopt_tank
from watervane.bootstrap import real_ports
from watervane.bootstrap_blueprint import blueprint_ports
from watervane.exchange import read_tank_file
from watervane.records import Person

SIZE = ("--size", "100 x 40 x 50 cm", "--glass", "8 mm")
FILE = """\
format = "watervane-tank/1"
[tank]
name = "Study"
filled = 2026-03-01
shape = { kind = "rectangular", length = "100 cm", width = "40 cm", height = "50 cm" }
[[animal]]
name = "cellar glimmer"
kind = "fish"
form = "deep-bodied fish"
usual_length = "9 cm"
temperature = "20..26 degC"
[[event]]
at = 2026-04-01T18:00:00
kind = "animals-in"
species = "cellar glimmer"
count = 5
"""
TABLE = """\
scientific_name,kind,form,adult_cm,adult_low_cm,adult_high_cm
cellar glimmer,fish,deep-bodied fish,9,8,10
"""


@pytest.fixture(params=["own.tank.toml", "own.csv"])
def own(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    file = tmp_path / request.param
    file.write_text(TABLE if file.suffix == ".csv" else FILE, encoding="utf-8")
    return file


def planned(*words: str) -> dict[str, Any]:
    return json.loads(call(FakePorts(), "blueprint", *words, "--json").out)


def noticed(told: dict[str, Any]) -> set[str]:
    return {each["key"] for each in told["findings"]}


def test_a_plan_feeds_what_the_keeper_knows(own: Path) -> None:
    words = ("new", *SIZE, "--animals", "5 cellar glimmer")
    plain, told = planned(*words), planned(*words, "--own", str(own))
    assert "blueprint-animal-unknown" in noticed(plain)
    assert "blueprint-animal-unknown" not in noticed(told)
    assert told["filter"]["food_g_per_d"] > 2.0 * plain["filter"]["food_g_per_d"]


def test_a_tank_that_is_looked_over_counts_its_own_rows(tmp_path: Path) -> None:
    file = tmp_path / "study.tank.toml"
    file.write_text(FILE, encoding="utf-8")
    plan = blueprint_ports().plan(BlueprintRequest({}, read_tank_file(file)))
    assert "blueprint-animal-unknown" not in {each.key for each in plan.findings}
    warm = ("--water", "25 degC")
    asked = planned("new", *SIZE, "--animals", "5 cellar glimmer", "--own", str(file), *warm)
    assert plan.filter.food_g_per_d == pytest.approx(asked["filter"]["food_g_per_d"], rel=1e-3)


def test_own_animals_are_chosen_and_go_into_the_tank_file(own: Path, tmp_path: Path) -> None:
    file = tmp_path / "new.tank.toml"
    words = ("choose", *SIZE, "--wish", "5 cellar glimmer", "--own", str(own), "--change", "50 %")
    told = planned(*words, "--write", str(file), "--room", "17..24 degC")
    assert [(each["species"], each["count"]) for each in told["chosen"]] == [("cellar glimmer", 5)]
    assert [row.name for row in read_tank_file(file).own_animals] == ["cellar glimmer"]


def test_the_catalogue_shows_the_rows_of_a_tank_file(own: Path) -> None:
    told = call(FakePorts(), "animals", "cellar glimmer", "--own", str(own), "--json")
    assert json.loads(told.out)["animals"][0]["typical_length_cm"] == 9.0


def test_a_plan_reads_its_water_from_a_report(tmp_path: Path) -> None:
    report = tmp_path / "water.toml"
    report.write_text('kh = "4 dKH"\ngh = "9 dGH"\nnitrate = "20 mg/L"\n', encoding="utf-8")
    words = ("new", *SIZE, "--animals", "8 Danio rerio")
    by_file = planned(*words, "--from", str(report))
    typed = ("--tap", "kh 4 dKH", "--tap", "gh 9 dGH", "--tap", "nitrate 20 mg/L")
    assert by_file == planned(*words, *typed)
    assert by_file["upkeep"] != planned(*words)["upkeep"]
    chosen = ("choose", *SIZE, "--wish", "Danio rerio")
    assert planned(*chosen, "--from", str(report)) == planned(*chosen, *typed)
    missing = call(FakePorts(), "blueprint", *words, "--from", str(tmp_path / "none.csv"))
    assert missing.code == 2
    assert "none.csv" in missing.err + missing.out


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal with the tank of the file, own rows and all."""
    journal = tmp_path / "data" / "journal.sqlite"
    monkeypatch.setenv("WATERVANE_JOURNAL", str(journal))
    file = tmp_path / "study.tank.toml"
    file.write_text(FILE, encoding="utf-8")
    adopt_tank(Person(), read_tank_file(file), FakePorts().ports(), asked="a test")
    return journal


QUICK = ("today", "--reading", "ammonia 0.7", "--animals", "3 cellar glimmer")


def test_rows_of_the_journal_reach_a_day_told_in_a_few_words(kept: Path) -> None:
    fake = FakePorts()
    result = call(fake, *QUICK)
    assert result.code == 0, result.err
    assert "Of cellar glimmer your own rows count" in result.out
    assert [row.name for row in fake.tank.own_animals] == ["cellar glimmer"]
    assert fake.tank.heater_set_point_c == 23.0  # the middle of what the row tells
    others = call(FakePorts(), *QUICK[:-1], "3 guppy")
    assert "your own rows" not in others.out


def test_a_day_told_in_a_few_words_begins_no_journal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = tmp_path / "data" / "journal.sqlite"
    monkeypatch.setenv("WATERVANE_JOURNAL", str(journal))
    assert call(FakePorts(), *QUICK).code == 0
    assert not journal.parent.exists()
    monkeypatch.setenv("WATERVANE_JOURNAL", "mysql://me@there/tanks")  # it cannot be read
    assert call(FakePorts(), *QUICK).code == 0


def test_rows_of_the_journal_reach_plans_of_pages_and_those_of_no_other_animal(kept: Path) -> None:
    words = {"size": SIZE[1], "glass": SIZE[3], "animals": ("5 cellar glimmer",),
             "wish": ("5 cellar glimmer",), "change": "50 %"}  # fmt: skip
    ports = real_ports()
    told = plan_together(Person(), words, ports)
    assert told.blueprint is not None
    assert told.choice is not None
    assert "blueprint-animal-unknown" not in {each.key for each in told.blueprint.findings}
    assert told.blueprint.wish.water_c == 23.0
    assert [each.species for each in told.choice.chosen] == ["cellar glimmer"]
    tank = planned_tank(Person(), words, date(2026, 3, 1), ports)
    assert [row.name for row in tank.own_animals] == ["cellar glimmer"]
    other = planned_tank(Person(), {**words, "animals": ("5 guppy",)}, date(2026, 3, 1), ports)
    assert other.own_animals == ()
    nobody = plan_together(Person("somebody else"), words, ports).blueprint
    assert nobody is not None
    assert "blueprint-animal-unknown" in {each.key for each in nobody.findings}
