"""The catalogue of animals: its words, its names, what is unknown stays unknown."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from watervane.reference import (
    AnimalsWanted,
    CatalogueAnimal,
    TableError,
    UnknownAnimalError,
    animal_form,
    body_forms,
    catalogue,
    find_animal,
    fit,
    load_table,
    nearest_names,
    shadowed,
    water_fit,
)
from watervane.reference.catalogue_cells import cell_problems
from watervane.reference.catalogue_shipped import read_catalogue
from watervane.reference.catalogue_words import (
    CATALOGUE_COLUMNS,
    NUMBERS,
    ONE_WORD,
    RANGES,
    SEVERAL_WORDS,
)
from watervane.units import Span

OWN = CatalogueAnimal("Danio rerio", ("zebra fish of the cellar",), kind="fish", grade="yours")


def test_every_animal_of_the_older_tables_is_there() -> None:
    names = {animal.scientific_name for animal in catalogue()}
    assert {row.extra["name"] for row in load_table("animals")} <= names
    assert len(names) == len(catalogue())


def test_forms_are_those_with_a_mass_law() -> None:
    assert set(ONE_WORD["form"]) == set(body_forms())
    for animal in catalogue():
        assert (animal.adult_mass_g or 0.0) > 0.0, animal.scientific_name


def test_a_name_finds_its_animal_scientific_common_and_plural() -> None:
    for name in ("Paracheirodon innesi", "neon tetra", "Neon Tetras", "paracheirodon_innesi"):
        assert find_animal(name).scientific_name == "Paracheirodon innesi"


def test_an_unknown_name_offers_the_nearest() -> None:
    with pytest.raises(UnknownAnimalError) as caught:
        find_animal("Parachierodon inesi")
    assert caught.value.nearest[0] == "Paracheirodon innesi"
    assert nearest_names("neon tetre")[0] == "neon tetra"
    assert nearest_names("qqqq") == ()
    with pytest.raises(UnknownAnimalError, match="scientific name"):
        find_animal("qqqq")


def test_what_no_table_knows_is_unknown() -> None:
    genus = find_animal("Melanotaenia")
    assert (genus.prey_share, genus.jumps, genus.zones) == (None, None, ())
    assert (genus.activity, genus.grade) == ("unknown", "one pass")
    assert genus.temperature_c is not None


def test_a_keepers_row_shadows_ours() -> None:
    assert find_animal("danio rerio", [OWN]) is OWN
    assert find_animal("zebra fish of the cellar", [OWN]) is OWN
    rows = shadowed(catalogue(), [OWN])
    assert rows[0] is OWN
    assert len(rows) == len(catalogue())
    assert [row for row in rows if row.scientific_name == "Danio rerio"] == [OWN]


def test_every_field_but_derived_ones_has_its_column() -> None:
    columns = {*RANGES, *NUMBERS, *ONE_WORD, *SEVERAL_WORDS}
    assert len(fields(CatalogueAnimal)) == 40
    assert len(CATALOGUE_COLUMNS) == len(set(CATALOGUE_COLUMNS))
    flat = {name for entry in columns for name in (entry if isinstance(entry, tuple) else (entry,))}
    assert flat <= set(CATALOGUE_COLUMNS)


GOOD = {"scientific_name": "Danio rerio", "kind": "fish", "form": "slender fish"}


@pytest.mark.parametrize(
    ("cells", "column", "key"),
    [
        ({"kind": ""}, "kind", "missing"),
        ({"kind": "bird"}, "kind", "word"),
        ({"zone": "bottom;sky"}, "zone", "word"),
        ({"prey_share": "a third"}, "prey_share", "number"),
        ({"prey_share": "nan"}, "prey_share", "number"),
        ({"group_min": "2.5"}, "group_min", "number"),
        ({"prey_share": "3"}, "prey_share", "outside"),
        ({"ph_low": "6"}, "ph_high", "half"),
        ({"ph_low": "8", "ph_high": "7"}, "ph_low", "order"),
        ({"ph_low": "6", "ph_high": "77"}, "ph_high", "outside"),
    ],
)
def test_a_cell_that_cannot_stand_is_placed(cells: dict[str, str], column: str, key: str) -> None:
    assert list(cell_problems(GOOD, 2)) == []
    problems = list(cell_problems({**GOOD, **cells}, 7))
    assert [(p.line, p.column, p.key) for p in problems] == [(7, column, key)]


def test_the_shipped_table_refuses_bad_cells_and_double_names() -> None:
    row = {**dict.fromkeys(CATALOGUE_COLUMNS, ""), **GOOD, "grade": "good"}
    row |= {"source": "zoology_memory", "quality": "from memory"}

    def text(*rows: dict[str, str]) -> str:
        lines = [CATALOGUE_COLUMNS, *([r[c] for c in CATALOGUE_COLUMNS] for r in rows)]
        return "\n".join(",".join(line) for line in lines)

    assert [a.scientific_name for a in read_catalogue(text(row), "t.csv")] == ["Danio rerio"]
    with pytest.raises(TableError, match=r"t.csv:3: 'Danio rerio' comes twice"):
        list(read_catalogue(text(row, row), "t.csv"))
    with pytest.raises(TableError, match=r"t.csv:2: kind 'bird': word; allowed: fish"):
        list(read_catalogue(text(row | {"kind": "bird"}), "t.csv"))
    with pytest.raises(TableError, match="not in sources"):
        list(read_catalogue(text(row | {"source": "hearsay"}), "t.csv"))


def test_records_compare_by_value() -> None:
    assert replace(OWN, note="") == OWN


def test_how_a_water_suits() -> None:
    animal = replace(OWN, ph=Span(6.5, 7.0), widest_ph=Span(6.0, 7.5), gh_dgh=Span(4.0, 10.0))
    assert water_fit(animal, "ph", Span(6.6, 6.8)) == "good"
    assert water_fit(animal, "ph", Span(6.4, 6.8)) == "edge"
    assert water_fit(animal, "ph", Span(6.4, 7.8)) == "outside"
    assert water_fit(animal, "gh", Span(11.0, 11.0)) == "outside"
    assert water_fit(animal, "kh", Span(3.0, 3.0)) == "unknown"
    edge = AnimalsWanted("fish", {"ph": Span(7.2, 7.2), "gh": Span(5.0, 5.0)})
    assert fit(animal, edge) == "edge"
    assert fit(animal, AnimalsWanted("snail")) == "outside"
    assert fit(animal, AnimalsWanted()) == "good"


def test_every_name_of_the_older_table_finds_the_animal_the_model_takes_it_for() -> None:
    for row in load_table("animals"):
        for name in (row.extra["name"], *filter(None, row.extra["aliases"].split(";"))):
            assert find_animal(name).scientific_name == animal_form(name).name, name
