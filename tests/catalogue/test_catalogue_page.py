"""The page lists every disagreement: between the reviews, and with all else that is known."""

from __future__ import annotations

import csv
from functools import cache

import pytest
from catalogue.__main__ import FOODS, PAGE
from catalogue.crosschecks import DATA as MEASURED
from catalogue.crosschecks import all_checks
from catalogue.foods_page import foods_page
from catalogue.making import made
from catalogue.merging import DATA, REVIEWS
from catalogue.replaced import UNTOLD_LENGTH_CM, replaced

from watervane.process.population import UNKNOWN_LENGTH_CM
from watervane.reference import CatalogueAnimal, catalogue, food_amounts, load_table
from watervane.units import Span

TEXT = PAGE.read_text(encoding="utf-8")
REVIEWED = {a.scientific_name: a for a in catalogue() if a.source == "two_reviews"}
whole = cache(made)


def review(name: str) -> dict[str, dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as opened:
        return {row["scientific_name"]: row for row in csv.DictReader(opened)}


def lines(name: str, subject: str) -> list[str]:
    cells = [line.strip("|").split("|") for line in TEXT.splitlines() if line.startswith("| ")]
    return [" ".join(c) for c in cells if c[0].strip() == name and c[2].strip() == subject]


@pytest.mark.parametrize(
    "column",
    [
        *("form", "activity", "territory", "diet", "jumps", "eats_plants", "nips_fins"),
        *("easily_nipped", "ammonia_group", "salt_group", "brackish", "breeds"),
    ],
)
def test_every_word_on_which_the_reviews_differ_is_listed(column: str) -> None:
    first, second = map(review, REVIEWS)
    for name in REVIEWED:
        found = lines(name, column.replace("_", " "))
        differ = first[name][column] != second[name][column]
        assert len(found) == differ, name
        if differ:
            assert first[name][column] in found[0]
            assert second[name][column] in found[0]


@pytest.mark.parametrize(
    ("low", "high", "subject", "tolerance"),
    [
        ("temperature_low_c", "temperature_high_c", "temperature", 1.0),
        ("ph_low", "ph_high", "ph", 0.3),
        ("gh_low_dgh", "gh_high_dgh", "gh", 3.0),
        ("kh_low_dkh", "kh_high_dkh", "kh", 3.0),
    ],
)
def test_every_range_on_which_the_reviews_differ_is_listed(
    low: str, high: str, subject: str, tolerance: float
) -> None:
    first, second = map(review, REVIEWS)
    for name in REVIEWED:
        far = max(abs(float(first[name][c]) - float(second[name][c])) for c in (low, high))
        assert len(lines(name, subject)) == (far > tolerance + 1e-9), name


def test_the_catalogue_names_the_subjects_its_page_lists() -> None:
    for name, animal in REVIEWED.items():
        for subject in animal.differs:
            assert len(lines(name, subject.replace("_", " "))) == 1, (name, subject)


def test_every_comparison_that_does_not_agree_is_listed() -> None:
    checks = whole().checks
    assert len(checks) > 150
    for check in checks:
        if check.verdict != "agrees":
            wanted = f"| {check.subject} | {check.animal} | {check.ours} | {check.theirs} |"
            assert wanted in TEXT


def test_every_species_with_open_data_is_compared() -> None:
    subjects: dict[str, set[str]] = {}
    for check in whole().checks:
        subjects.setdefault(check.source, set()).add(check.animal)
    for source, file, column in (
        ("bennett2018_globtherm", "globtherm_freshwater_fish/globtherm_freshwater_fish.csv", ""),
        ("frimpong2009_fishtraits", "fishtraits_us/fishtraits_subset.csv", "max_total_length_cm"),
        ("epa2013_ammonia", "epa2013_ammonia_acute_fish/lc50_by_test.csv", "lc50_mg_TAN_N_L"),
    ):
        with (MEASURED / file).open(encoding="utf-8", newline="") as opened:
            rows = [row for row in csv.DictReader(opened) if not column or row[column]]
        shared = {row["species"] for row in rows} & set(REVIEWED)
        assert shared
        assert subjects[source] == shared


def test_no_range_reaches_what_harms_at_once() -> None:
    """No tolerance: not even the widest range may reach a measured end."""
    thermal = [c for c in whole().checks if c.subject.startswith(("temperature, ", "pH"))]
    assert len(thermal) >= 10
    assert [check for check in thermal if check.verdict == "differs"] == []


def test_a_planted_breach_is_found() -> None:
    molly = REVIEWED["Poecilia sphenops"]
    hot = CatalogueAnimal(
        **{
            **{name: getattr(molly, name) for name in molly.__slots__},
            "widest_temperature_c": Span(5.0, 44.0),
            "nitrite_group": "tolerant",
            "typical_length_cm": 40.0,
        }
    )
    found = {check.subject for check in all_checks([hot]) if check.verdict == "differs"}
    assert {"temperature, upper", "temperature, lower", "usual length"} <= found
    guppy = REVIEWED["Poecilia reticulata"]
    tough = CatalogueAnimal(
        **{
            **{name: getattr(guppy, name) for name in guppy.__slots__},
            "nitrite_group": "tolerant",
            "ammonia_group": "hardy",
        }
    )
    found = {check.subject for check in all_checks([tough]) if check.verdict == "differs"}
    assert {"nitrite group"} <= found


def test_the_page_of_foods_is_the_one_that_is_made_and_holds_every_row() -> None:
    text = FOODS.read_text(encoding="utf-8")
    assert text == foods_page()
    for row in load_table("plants"):
        assert f"| {row.extra['name']} | {row.value:g} ({row.low:g} to {row.high:g})" in text
    for name in food_amounts():
        assert text.count(f"\n| {name} | ") == 1


def test_the_page_tells_what_changed_for_the_model_by_its_own_length_of_an_untold_animal() -> None:
    assert UNTOLD_LENGTH_CM == UNKNOWN_LENGTH_CM
    lines = list(replaced(whole().rows))
    assert "\n".join(lines) in TEXT
    (loach,) = (line for line in lines if line.startswith("| Chromobotia"))
    assert "18, now 25" in loach
    assert "deep-bodied fish, now slender fish" in loach
