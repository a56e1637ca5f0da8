"""The shipped table is what the kept reviews make, by the rules that its page tells."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest
from catalogue.__main__ import PAGE, TABLE
from catalogue.making import Made, made, make
from catalogue.merging import DATA, REVIEWS, BadReviewError, merge, read_review, table_text
from catalogue.page import page
from catalogue.rules import RULES

from watervane.reference import animal_form, catalogue
from watervane.reference.catalogue_words import ANIMAL_COLUMNS, REVIEW_COLUMNS

whole = cache(made)
REVIEWED = tuple(animal for animal in catalogue() if animal.source == "two_reviews")


@pytest.fixture
def row() -> dict[str, str]:
    return dict(read_review(DATA / REVIEWS[0])[0])


def merged(row: dict[str, str], **other: str) -> Made:
    return make([row], [{**row, **other}])


def test_the_reviews_make_the_shipped_table_letter_for_letter() -> None:
    assert table_text(whole().rows) == TABLE.read_text(encoding="utf-8")


def test_the_page_is_the_one_that_is_made() -> None:
    assert page(whole()) == PAGE.read_text(encoding="utf-8")


def test_there_are_at_least_eighty_animals_of_every_kind_asked_for() -> None:
    assert len(REVIEWED) >= 80
    kinds = [animal.kind for animal in REVIEWED]
    assert min(kinds.count(kind) for kind in ("fish", "shrimp", "snail", "amphibian")) >= 3
    names = {animal.scientific_name for animal in REVIEWED}
    assert {"Carassius auratus", "Ambystoma mexicanum", "Hymenochirus boettgeri"} <= names
    assert sum("outgrows" in animal.welfare for animal in REVIEWED) >= 5


def test_every_column_has_its_rule_once() -> None:
    ruled = [column for rule in RULES for column in rule.columns]
    assert sorted(ruled) == sorted(set(ANIMAL_COLUMNS) - {"scientific_name"})


def test_a_reviewed_row_has_every_weighty_value() -> None:
    for animal in REVIEWED:
        for name in (
            *("adult_length_cm", "typical_length_cm", "least_group", "temperature_c", "ph"),
            *("gh_dgh", "kh_dkh", "tank_length_cm", "territory_cm2", "prey_share", "jumps"),
            *("widest_temperature_c", "widest_ph", "widest_gh_dgh", "widest_kh_dkh"),
        ):
            assert getattr(animal, name) is not None, (animal.scientific_name, name)


def test_what_stands_is_never_the_more_careless_of_two() -> None:
    """Checked cell by cell against the reviews themselves, not by the code that merges."""
    for name in REVIEWS:
        with (DATA / name).open(encoding="utf-8", newline="") as opened:
            review = {row["scientific_name"]: row for row in csv.DictReader(opened)}
        for animal in REVIEWED:
            told = review[animal.scientific_name]
            good = (animal.temperature_c, animal.ph, animal.gh_dgh, animal.kh_dkh)
            columns = (
                ("temperature_low_c", "temperature_high_c"),
                ("ph_low", "ph_high"),
                ("gh_low_dgh", "gh_high_dgh"),
                ("kh_low_dkh", "kh_high_dkh"),
            )
            for span, (low, high) in zip(good, columns, strict=True):
                assert span is not None
                assert float(told[low]) <= span.low < span.high <= float(told[high])
            assert animal.least_group is not None
            alone = "kept alone" in animal.welfare
            assert alone or animal.least_group >= int(told["group_min"])
            assert (animal.tank_length_cm or 0.0) >= float(told["tank_length_cm"])
            assert (animal.prey_share or 0.0) >= float(told["prey_share"])
            assert (animal.typical_length_cm or 0.0) >= float(told["adult_cm"])
            assert set(filter(None, told["welfare"].split(";"))) <= set(animal.welfare)
            assert set(filter(None, told["legal"].split(";"))) <= set(animal.legal)


@pytest.mark.parametrize(
    ("told", "column", "stands"),
    [
        ({"adult_cm": "9", "adult_high_cm": "9"}, "adult_cm", "9"),
        ({"group_min": "30"}, "group_min", "30"),
        ({"ph_low": "7", "ph_high": "9"}, "ph_low", "7"),
        ({"ph_low": "7", "ph_high": "9"}, "widest_ph_high", "9"),
        ({"activity": "still"}, "activity", "fast"),
        ({"territory": "all"}, "territory", "all"),
        ({"prey_share": "0.6"}, "prey_share", "0.6"),
        ({"nips_fins": "yes"}, "nips_fins", "yes"),
        ({"salt_group": "hardly"}, "salt_group", "hardly"),
        ({"brackish": "needs"}, "brackish", "needs"),
        ({"legal": "invasive"}, "legal", "invasive"),
        ({"form": "deep-bodied fish"}, "form", "deep-bodied fish"),
        ({"welfare": "kept alone"}, "group_min", "1"),
    ],
)
def test_the_safer_of_two_stands(
    row: dict[str, str], told: dict[str, str], column: str, stands: str
) -> None:
    for made_of in (merge([row], [{**row, **told}]), merge([{**row, **told}], [row])):
        assert made_of[0].cells[column] == stands


def test_ranges_that_hardly_meet_leave_the_narrower_and_a_weak_grade(row: dict[str, str]) -> None:
    (apart,) = merge([row], [{**row, "temperature_low_c": "30", "temperature_high_c": "33"}])
    assert (apart.apart, apart.grade) == (("temperature",), "weak")
    assert (apart.cells["temperature_low_c"], apart.cells["temperature_high_c"]) == ("30", "33")


def test_grades_follow_the_weighty_subjects(row: dict[str, str]) -> None:
    assert merged(row).rows[0].grade == "good"
    two = {"prey_share": "0.9", "territory": "all"}
    assert merged(row, **two).rows[0].grade == "fair"
    four = {**two, "tank_length_cm": "300", "group_min": "40"}
    assert merged(row, **four).rows[0].grade == "weak"
    assert merged(row, confidence="low").rows[0].grade == "fair"
    assert merged({**row, "confidence": "low"}).rows[0].grade == "weak"
    longer = {**row, "adult_cm": "8", "adult_high_cm": "9"}  # our own table says half of it
    assert merged(longer).rows[0].grade == "fair"


def test_a_published_test_of_the_species_stands_over_both(row: dict[str, str]) -> None:
    (found,) = merge([{**row, "nitrite_group": "sensitive"}], [{**row, "nitrite_group": ""}])
    assert found.measured == ("nitrite_group",)
    assert found.cells["nitrite_group"] == "tolerant"


def test_a_name_belongs_to_one_species_alone() -> None:
    names = [name for animal in REVIEWED for name in animal.names]
    assert len({name.lower() for name in names}) == len(names)
    assert all(animal.common_names for animal in REVIEWED)


def test_reviews_that_cannot_be_merged_are_refused(tmp_path: Path, row: dict[str, str]) -> None:
    with pytest.raises(BadReviewError, match="same animals"):
        merge([row], [{**row, "scientific_name": "Piscis novus"}])
    file = tmp_path / "review.csv"
    file.write_text("name\nx\n", encoding="utf-8")
    with pytest.raises(BadReviewError, match="columns"):
        read_review(file)
    with file.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, REVIEW_COLUMNS)
        writer.writeheader()
        writer.writerow({**row, "kind": "bird"})
    with pytest.raises(BadReviewError, match=r"review\.csv:2: kind 'bird'"):
        read_review(file)


def test_every_animal_has_a_mass_law_the_model_knows() -> None:
    for animal in REVIEWED:
        assert animal_form(animal.scientific_name).matched == "name", animal.scientific_name
