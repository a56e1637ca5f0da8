"""Sentences of choices: every key of a reason, a room and a help has its words."""

from __future__ import annotations

import re
import string
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from reading_ease import reading_ease

import watervane.wording
from watervane.planning.choosing.whole import choice_of
from watervane.records import (
    AnimalWish,
    BlueprintWish,
    Choice,
    ChoiceWish,
    GlassBox,
    Help,
    SharedWater,
)
from watervane.reference import find_animal
from watervane.units import Span
from watervane.wording.choices import (
    choice_lists,
    choice_sentences,
    choice_table,
    choice_title,
    help_line,
)

BOX = GlassBox(length_cm=100.0, width_cm=40.0, height_cm=50.0, glass_mm=8.0)
PLAN = BlueprintWish("Reading room", BOX, machines_w=5.0)
WATER = SharedWater(Span(6.8, 7.6), 8.0, 5.0, 2.0)
LISTS = (
    ("neon tetra", "Danio rerio", "goldfish", "guppy"),
    ("Danio rerio",),
    ("Amatitlania nigrofasciata", "cherry shrimp", "axolotl", "Betta splendens"),
)


def choice(names: tuple[str, ...], plan: BlueprintWish = PLAN, **told: float) -> Choice:
    rows = {find_animal(name).scientific_name: find_animal(name) for name in names}
    wishes = tuple(AnimalWish(name) for name in rows)
    return choice_of(ChoiceWish(plan, wishes, WATER, **told), rows)


def choices() -> list[Choice]:
    small = replace(PLAN, media_l=0.03, flow_l_per_h=5.0, altitude_m=2500.0, lid=False)
    tiny = replace(PLAN, box=GlassBox("cube", 25.0, glass_mm=4.0))
    return [
        *(choice(names) for names in LISTS),
        *(choice(names, small) for names in LISTS),
        choice(LISTS[0], tiny),
        choice(LISTS[0], temperature_c=16.0),
        choice(LISTS[0], change_l_per_week=2.0),
    ]


CHOICES = choices()


def texts(told: Choice) -> list[str]:
    table = choice_table(told)
    cells = [cell for row in (table.headers, *table.rows) for cell in row]
    lines = [line for _, title, lines in choice_lists(told) for line in (title, *lines)]
    return [choice_title(told), *choice_sentences(told), table.title, table.caption, *cells, *lines]


def test_every_part_has_its_words() -> None:
    for text in (each for told in CHOICES for each in texts(told)):
        assert "{" not in text, text
        assert not re.search(r"\bchoose-[a-z]", text), text
        assert not re.match(r"Choose [a-z]+(?: [a-z]+)*[:.]", text), text


@pytest.mark.parametrize("told", CHOICES[:3], ids=["many", "one", "strong"])
def test_choices_read_easily(told: Choice) -> None:
    lines = [
        *choice_sentences(told),
        *(line for _, _, told_of in choice_lists(told) for line in told_of),
    ]
    assert reading_ease(" ".join(lines)) > 55.0


def test_two_changes_are_told_as_one_sentence() -> None:
    then = Help("change", {"amount": 20.0, "more": 5.0, "unit": "L", "water_c": 24.0})
    told = help_line(Help("two", {"name": "Aus bus", "then": then}))
    assert told == (
        "Leave out Aus bus, and besides: change 20 L a week, 5 L more, and keep the water at 24 °C."
    )


def test_no_sentence_is_written_that_nothing_can_say() -> None:
    folder = Path(watervane.wording.__file__).parent
    keys = tomllib.loads((folder / "choices.toml").read_text(encoding="utf-8"))
    code = "\n".join(p.read_text(encoding="utf-8") for p in folder.parent.rglob("*.py"))
    made = ("binds", "room", "more", "group", "help", "no", "quantity", "col", "water",
            "share")  # fmt: skip
    made = tuple(f"choose-{name}-" for name in made)
    idle = [
        key
        for key in keys
        if not re.search(rf"[\"']{key}[\"']", code)
        and not key.startswith(made)
        and not key.endswith("-title")
    ]
    assert idle == []
    fields = {f for t in keys.values() for _, f, _, _ in string.Formatter().parse(t) if f}
    assert all(field.isidentifier() for field in fields)
