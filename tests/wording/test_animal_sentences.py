"""Every word of the catalogue has its sentence, and every sentence its word."""

from __future__ import annotations

import re
import tomllib
from importlib import resources

from reading_ease import reading_ease

from watervane.reference import CatalogueAnimal, catalogue, find_animal
from watervane.reference.catalogue_cells import CellProblem
from watervane.reference.catalogue_words import GRADES, ONE_WORD, SEVERAL_WORDS
from watervane.units import Span
from watervane.wording.animals import animal_groups, animal_sentences, animal_title
from watervane.wording.templates import templates

SENTENCES = tomllib.loads(
    resources.files("watervane.wording").joinpath("animals.toml").read_text("utf-8")
)
SUBJECTS = {
    "zone": "zone",
    "activity": "activity",
    "territory": "territory",
    "diet": "diet",
    "jumps": "jumps",
    "eats_plants": "plants",
    "ammonia_group": "ammonia",
    "nitrite_group": "nitrite",
    "salt_group": "salt",
    "breeds": "breeds",
    "welfare": "welfare",
    "legal": "legal",
}


def test_every_word_has_its_sentence_and_no_sentence_is_left_over() -> None:
    words = {**ONE_WORD, **SEVERAL_WORDS}
    for column, subject in SUBJECTS.items():
        keys = {f"animal-{subject}-{word.replace(' ', '-')}" for word in words[column]}
        assert keys <= set(SENTENCES), keys - set(SENTENCES)
        others = {key for key in SENTENCES if key.startswith(f"animal-{subject}-")} - keys
        assert others <= {"animal-legal-none"}, others
    for grade in GRADES:
        assert f"animal-grade-{grade.replace(' ', '-')}" in templates()
        assert f"animals-grade-{grade.replace(' ', '-')}" in templates()


def test_every_animal_can_be_told() -> None:
    for animal in catalogue():
        told = [animal_title(animal), *animal_sentences(animal)]
        for title, entries in animal_groups(animal):
            assert title
            told += [part for entry in entries for part in entry]
        for text in told:
            assert text
            assert not re.search(r"[{}]|unknown|None|_", text), text


def test_an_animal_of_which_little_is_known_can_be_told() -> None:
    bare = CatalogueAnimal("Piscis novus", grade="yours", source="keeper", quality="keeper")
    told = " ".join(text for _, entries in animal_groups(bare) for _, text in entries)
    assert told.count("not known") >= 15
    assert "your own table" in told


def test_where_reviews_differ_both_ranges_are_told() -> None:
    animal = CatalogueAnimal("P", ph=Span(6.5, 7.0), widest_ph=Span(6.0, 7.5), differs=("ph",))
    told = {label: text for _, entries in animal_groups(animal) for label, text in entries}
    assert told["pH"] == "6.5 to 7; the reviews together allow 6 to 7.5"
    assert told["they differ on"] == "ph"


def test_sentences_are_easy_to_read() -> None:
    told = [*animal_sentences(find_animal("Danio rerio"))]
    told += [text for key, text in SENTENCES.items() if key.startswith("animal-welfare")]
    assert reading_ease(" ".join(told)) > 60.0


def test_problems_have_their_sentences() -> None:
    keys = (CellProblem.__doc__ or "").partition("``key``")[2]
    for key in re.findall(r"``(\w+)``", keys):
        if key != "allowed":
            assert f"animal-cell-{key}" in templates()
