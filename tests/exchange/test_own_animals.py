"""A keeper's own rows: they go before ours cell by cell, mistakes are placed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from watervane.exchange.own_animals import own_row_text, read_own_animals
from watervane.exchange.problems import TankFileErrors
from watervane.reference import CatalogueAnimal, catalogue, find_animal
from watervane.units import Span

Write = Callable[[str], Path]


@pytest.fixture
def written(tmp_path: Path) -> Write:
    def write(text: str) -> Path:
        file = tmp_path / "mine.csv"
        file.write_text(text, encoding="utf-8")
        return file

    return write


def problems(file: Path) -> list[tuple[int | None, object, str]]:
    with pytest.raises(TankFileErrors) as caught:
        read_own_animals(file)
    return [(f.line, f.arguments.get("table_column"), f.key) for f in caught.value.problems]


def test_a_told_cell_goes_before_ours_and_the_rest_stays(written: Write) -> None:
    file = written("scientific_name,temperature_low_c,temperature_high_c\nzebrafish,20,23\n")
    ((mine,), _) = read_own_animals(file)
    ours = find_animal("zebrafish")
    assert mine.scientific_name == "Danio rerio"
    assert mine.temperature_c == Span(20.0, 23.0)
    assert mine.widest_temperature_c is None
    assert (mine.ph, mine.widest_ph, mine.zones) == (ours.ph, ours.widest_ph, ours.zones)
    assert (mine.grade, mine.source) == ("yours", "keeper")
    assert set(mine.differs) == {"scientific_name", "temperature_low_c", "temperature_high_c"}


def test_one_end_of_a_range_keeps_our_other_end(written: Write) -> None:
    ours = find_animal("zebrafish").temperature_c
    assert ours is not None
    ((mine,), _) = read_own_animals(written("scientific_name,temperature_low_c\nzebrafish,19\n"))
    assert mine.temperature_c == Span(19.0, ours.high)
    file = written("scientific_name,temperature_low_c\nzebrafish,39\n")
    assert problems(file) == [(2, "temperature_low_c", "animal-cell-order")]


def test_a_new_animal_needs_a_name_a_kind_and_a_form(written: Write) -> None:
    file = written("scientific_name,kind,form\nPiscis novus,fish,slender fish\n")
    ((mine,), _) = read_own_animals(file)
    assert mine == CatalogueAnimal(
        "Piscis novus",
        kind="fish",
        grade="yours",
        source="keeper",
        quality="keeper",
        differs=("scientific_name", "kind", "form"),
    )
    assert find_animal("piscis novus", [mine]) is mine
    assert problems(written("scientific_name,kind\nPiscis novus,fish\n")) == [
        (2, "form", "animal-cell-missing")
    ]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("scientific name\nx\n", (1, "scientific name", "animal-cell-columns-near")),
        ("scientific_name,qqqq\nzebrafish,1\n", (1, "qqqq", "animal-cell-columns")),
        ("adult_cm\n4\n", (1, "scientific_name", "animal-cell-missing")),
        ("scientific_name,zone\nzebrafish,sky\n", (2, "zone", "animal-cell-word")),
        ("scientific_name,zone\nzebrafish\n", (2, None, "animal-cell-cells")),
        (
            "scientific_name,adult_cm\nDanio rerio,4\nzebrafish,4\n",
            (3, "scientific_name", "animal-cell-twice"),
        ),
        (
            "scientific_name,kind,form,ph_low\nPiscis novus,fish,snail,6\n",
            (2, "ph_high", "animal-cell-half"),
        ),
    ],
)
def test_each_mistake_has_its_place(
    written: Write, text: str, found: tuple[int, object, str]
) -> None:
    assert found in problems(written(text))


def test_a_table_of_another_separator_is_read(written: Write) -> None:
    file = written("scientific_name;adult_cm;note\nDanio rerio;5;mine, all\n")
    ((mine,), _) = read_own_animals(file)
    assert (mine.typical_length_cm, mine.note) == (5.0, "mine, all")


def test_every_animal_of_ours_can_be_made_ones_own_unchanged(written: Write) -> None:
    for ours in catalogue():
        ((mine,), _) = read_own_animals(written(own_row_text(ours)))
        for name in ("typical_length_cm", "ph", "gh_dgh", "prey_share", "welfare", "jumps"):
            assert getattr(mine, name) == getattr(ours, name), ours.scientific_name
