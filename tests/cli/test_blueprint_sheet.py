"""A blueprint on paper: everything a keeper needs at the shop, in a few pages, as it was typed."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from fake_ports import FakePorts
from test_commands import call

NEW = ("blueprint", "new", "--size", "80 x 35 x 40 cm", "--outside", "--glass", "8 mm")
FISH = ("--animals", "10 Danio rerio 4 cm")
FLOOR = ("--floor", "timber", "--span", "3.5 m", "--lies", "across", "--tariff", "0.30")
WATER = (
    *("--tap", "kh 11 dKH", "--tap", "gh 15 dGH", "--tap", "chloramine 2 mg/L"),
    *("--want", "kh 3..5", "--want", "gh 4..8", "--membrane"),
)
CHOOSE = (
    *("blueprint", "choose", "--size", "100 x 40 x 50 cm", "--outside", "--glass", "8 mm"),
    *("--wish", "8 Danio rerio", "--wish", "Corydoras aeneus", "--wish", "6 guppy"),
    *("--tap", "kh 3 dKH", "--tap", "gh 6 dGH", "--change", "60 %"),
)
MOST_PAGES = 5  # two of them sums and sources


def asked(program: str, *arguments: str) -> str:
    found = shutil.which(program)
    assert found is not None, program
    return subprocess.run((found, *arguments), capture_output=True, text=True, check=True).stdout


def printed(file: Path) -> tuple[str, int]:
    pages = re.search(r"^Pages:\s+(\d+)", asked("pdfinfo", str(file)), re.MULTILINE)
    assert pages is not None
    told = asked("pdftotext", "-layout", str(file), "-")
    return re.sub(r"\s+", " ", told), int(pages[1])


def test_a_whole_plan_stands_on_few_pages_with_its_sums_and_names_no_command(
    tmp_path: Path,
) -> None:
    file = tmp_path / "plan.pdf"
    result = call(
        FakePorts(),
        *(*NEW, *FISH, *FLOOR, *WATER, "--name", "Study", "--filled", "2026-03-20"),
        *("--sheet", str(file)),
    )
    assert result.code == 0, result.err
    assert str(file.name) in re.sub(r"\s+", "", result.out)
    told, pages = printed(file)
    assert pages <= MOST_PAGES
    for words in (
        "Study: blueprint",
        "from the front",  # on the drawing: its letters are there, too
        "How long they grow",
        "Will floor and stand carry it?",
        "builders’ custom",
        "Which filter, how much air?",
        "For 10.0 L take",
        "measure out",
        "Conditioner: 0.55 g",
        "Fri 20 Mar",
        "5 Danio rerio",
        "What to buy",
        "residual-current",
        "Where the numbers come from",
        "[1] Densities",
        "20 March 2026",
    ):
        assert words in told or words.replace("’", "'") in told, words
    assert "watervane " not in told
    assert "--" not in told


def test_a_plan_of_chosen_animals_names_them(tmp_path: Path) -> None:
    file = tmp_path / "plan.pdf"
    result = call(FakePorts(), *CHOOSE, "--sheet", str(file))
    assert file.exists(), result.out + result.err
    told, pages = printed(file)
    assert pages <= MOST_PAGES + 1  # with the table of the animals
    assert "Can these animals live here together?" in told
    assert "zebra" in told.lower() or "danio" in told.lower()


def test_what_stands_against_a_plan_heads_its_sheet(tmp_path: Path) -> None:
    file = tmp_path / "plan.pdf"
    thin = ("blueprint", "new", "--size", "120 x 50 x 60 cm", "--glass", "5 mm")
    assert call(FakePorts(), *thin, "--sheet", str(file)).code == 3
    told, _ = printed(file)
    first = told.index("Stands against it")
    assert first < told.index("from the front")


@pytest.mark.parametrize("name", ['#import "x"', "$x$ *b* <c> & `d`", "plan \\ _e_"])
def test_a_name_is_printed_as_it_was_typed(name: str, tmp_path: Path) -> None:
    file = tmp_path / "plan.pdf"
    assert call(FakePorts(), *NEW, "--name", name, "--sheet", str(file)).code == 0
    assert re.sub(r"\s", "", name) in re.sub(r"\s", "", printed(file)[0].replace("“", '"'))


def test_a_sheet_that_is_there_is_kept_unless_told_otherwise(tmp_path: Path) -> None:
    file = tmp_path / "plan.pdf"
    file.write_text("mine", encoding="utf-8")
    result = call(FakePorts(), *NEW, "--sheet", str(file))
    assert result.code == 2
    assert "--over" in result.err
    assert file.read_text(encoding="utf-8") == "mine"
    assert call(FakePorts(), *NEW, "--sheet", str(file), "--over").code == 0
    assert file.read_bytes().startswith(b"%PDF")
