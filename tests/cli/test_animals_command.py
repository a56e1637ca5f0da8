"""Looking animals up on the command line."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from fake_ports import FakePorts
from typer.testing import CliRunner

from watervane.cli.program import program
from watervane.reference import catalogue, find_animal
from watervane.reference.catalogue_own import OWN_COLUMNS


def run(*options: str, code: int = 0) -> str:
    result = CliRunner().invoke(program, ["animals", *options], obj=FakePorts().ports)
    assert result.exit_code == code, result.output
    return " ".join(result.output.split())


def documents(*options: str) -> list[dict]:
    document = json.loads(run(*options, "--json"))
    assert document["format"] == "watervane-animals/1"
    return document["animals"]


def test_one_animal_with_all_values_source_and_grade() -> None:
    told = run("zebra danio")
    ours = find_animal("Danio rerio")
    assert told.startswith("Zebra")
    assert "(Danio rerio)" in told
    assert ours.temperature_c is not None
    assert f"{ours.temperature_c.low:g} to {ours.temperature_c.high:g} °C" in told
    for label in ("full-grown length", "company", "prey", "reviews", "source", "law", "nitrite"):
        assert label in told
    (document,) = documents("Danio rerio")
    assert document["scientific_name"] == "Danio rerio"
    assert document["grade"] == ours.grade
    assert document["citation"]
    assert document["adult_mass_g"] == pytest.approx(ours.adult_mass_g, rel=1e-3)


def test_what_is_not_known_says_so() -> None:
    assert "company not known" in run("Melanotaenia")
    (document,) = documents("Melanotaenia")
    assert document["prey_share"] is None
    assert document["activity"] is None


def test_an_unknown_name_offers_the_nearest() -> None:
    assert "Nearest are: neon tetra" in run("neontetre", code=2)
    assert "nor one much like it" in run("qqqqqq", code=2)


def test_the_whole_list_and_a_kind() -> None:
    assert len(documents()) == len(catalogue())
    shrimps = documents("--kind", "shrimp")
    assert {each["kind"] for each in shrimps} == {"shrimp"}
    assert f"{len(shrimps)} animals" in run("--kind", "shrimp")


def test_a_water_keeps_those_it_suits_and_says_how() -> None:
    found = documents("--suits", "gh 20 dGH", "--suits", "temperature 24..26 degC")
    assert 0 < len(found) < len(catalogue())
    for each in found:
        if each["fit"] == "good":
            assert each["gh_dgh"]["low"] <= 20.0 <= each["gh_dgh"]["high"]
            assert each["temperature_c"]["low"] <= 24.0
            assert each["temperature_c"]["high"] >= 26.0
    names = {each["scientific_name"] for each in found}
    assert "Paracheirodon axelrodi" not in names
    assert "Poecilia sphenops" in names


def test_a_water_for_nobody_says_what_to_do() -> None:
    told = run("--suits", "temperature 39 degC", "--suits", "ph 3.1", "--suits", "gh 39")
    assert "No animal" in told
    assert "Leave one quantity out" in told


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--kind", "fisch"), "Write one of: fish, shrimp, snail and amphibian"),
        (("--suits", "gh"), "is no water that can be looked for"),
        (("--suits", "colour 3"), "is no water that can be looked for"),
        (("--suits", "gh 3 apples"), "apples"),
        (("--suits", "ph 7 dGH"), "pH is a plain number"),
        (("--suits", "ph 9..2"), "Write the lower one first"),
        (("--row",), "Say which"),
        (("Danio rerio", "--kind", "fish"), "Leave the name out"),
    ],
)
def test_bad_words_are_answered(options: tuple[str, ...], said: str) -> None:
    assert said in run(*options, code=2)


def test_several_bad_words_are_told_at_once() -> None:
    told = run("--kind", "fisch", "--suits", "gh", "--suits", "ph 9..2", code=2)
    assert "3 problems" in told


def test_a_row_comes_back_as_ones_own(tmp_path: Path) -> None:
    made = CliRunner().invoke(program, ["animals", "Danio rerio", "--row"], obj=FakePorts().ports)
    (cells,) = csv.DictReader(io.StringIO(made.output))
    assert tuple(cells) == OWN_COLUMNS
    cells |= {"adult_cm": "5", "note": "mine"}
    file = tmp_path / "mine.csv"
    with file.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, OWN_COLUMNS)
        writer.writeheader()
        writer.writerow(cells)
    told = run("zebra danio", "--own", str(file))
    assert "about 5.0 cm long" in told
    assert "your own table" in told
    (document,) = documents("Danio rerio", "--own", str(file))
    ours = find_animal("Danio rerio")
    assert document["grade"] == "yours"
    assert document["prey_share"] == ours.prey_share
    assert len(documents("--own", str(file))) == len(catalogue())


def test_own_cells_that_cannot_stand_are_told_with_their_places(tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_text(
        "scientific_name,kind,form,zone,adult_cm,group_min\n"
        "Danio rerio,,,,0.01,6\n"
        "Piscis novus,fish,,botom,x,2.5\n"
        "Piscis novus,fish,slender fish,bottom\n",
        encoding="utf-8",
    )
    told = run("--own", str(file), code=2)
    assert "has 6 problems" in told
    for said in (
        "line 2, column 'adult_cm': '0.01' is impossible here",
        "line 3, column 'form': The cell is empty",
        "line 3, column 'zone': 'botom' is no word of this column. Did you mean bottom?",
        "line 3, column 'group_min': '2.5' is no number",
        "line 4: The row has 4 cells, but there are 6 columns",
    ):
        assert said in told
