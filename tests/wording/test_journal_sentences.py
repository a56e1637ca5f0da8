"""What is said about the journal reads easily, and each kind of entry has its few words."""

from __future__ import annotations

import string
import tomllib
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from reading_ease import reading_ease

import watervane
from watervane.records import (
    Entry,
    Feed,
    Habit,
    KeptTank,
    Note,
    Reading,
    ReadingValue,
    Span,
    Tank,
    WaterChange,
)
from watervane.wording import (
    entry_label,
    entry_line,
    kept_sentence,
    phrase,
    shown_sentence,
    tanks_table,
)

AT = datetime(2026, 3, 10, 19, 30, tzinfo=UTC)
FILE = Path(watervane.__file__).parent / "wording" / "journal.toml"
SENTENCES = tomllib.loads(FILE.read_text("utf-8"))
USUAL = {"known": ("Study", "Den"), "place": "the journal", "file": "march", "said": "it is torn"}


def spoken(key: str) -> str:
    """A sentence with something put in for each argument, commands left out."""
    text = " ".join(SENTENCES[key][part] for part in ("text", "remedy") if part in SENTENCES[key])
    wanted = {field for _, field, _, _ in string.Formatter().parse(text) if field}
    return phrase(key, **{name: USUAL.get(name, "7") for name in wanted})


def reading(value: ReadingValue, **told: object) -> Reading:
    return Reading(at=AT, quantity="ammonia", value=value, **told)


def test_the_sentences_read_easily_together() -> None:
    text = " ".join(spoken(key) for key in SENTENCES)
    assert "{" not in text
    ease = reading_ease(text)
    print(f"reading ease {ease:.0f}")
    assert ease >= 60


@pytest.mark.parametrize(
    ("what", "label"),
    [
        (reading(ReadingValue("exact", 0.7, 0.7, "n", "0,7 ppm")), "ammonia 0,7 ppm"),
        (reading(ReadingValue("exact", 0.7, 0.7, "n")), "ammonia 0.7"),
        (reading(ReadingValue("above", 5.0, None, "n")), "ammonia > 5"),
        (reading(ReadingValue("below", None, 0.3, "n")), "ammonia < 0.3"),
        (reading(ReadingValue("range", 0.3, 0.7, "n")), "ammonia 0.3 to 0.7"),
        (
            reading(ReadingValue("exact", 0.7, 0.7, "n", "0.7"), of_source_water=True),
            "ammonia 0.7 (source water)",
        ),
        (
            Reading(
                at=AT, quantity="water", value=ReadingValue("fine", None, None, "none", "fine")
            ),
            "the water fine",
        ),
        (Feed(at=AT, mass_g=Span(0.02, 0.05), raw="1 pinch"), "fed 1 pinch"),
        (Feed(at=AT, mass_g=Span(0.02, 0.05)), "fed 0.02 to 0.05 g"),
        (Feed(at=AT, mass_g=Span(0.03, 0.03)), "fed 0.03 g"),
        (Feed(at=AT, mass_g=Span(0.0, 0.0), raw="0"), "no food"),
        (WaterChange(at=AT, fraction=0.25), "water change 25 %"),
        (Note(at=AT, text="a\n b"), "a b"),
        (Note(at=AT, text="x" * 100), "x" * 60 + "..."),
    ],
)
def test_an_entry_has_a_few_words(what: object, label: str) -> None:
    assert entry_label(what) == label


def test_a_habit_says_how_often() -> None:
    daily = Habit(template=WaterChange(at=AT, fraction=0.1), every_days=1.0, start=AT.date())
    weekly = Habit(template=WaterChange(at=AT, fraction=0.1), every_days=7.0, start=AT.date())
    assert entry_label(daily) == "water change 10 %, every day"
    assert entry_label(weekly) == "water change 10 %, every 7 days"


def test_lines_and_sentences_name_day_and_number() -> None:
    entry = Entry(12, "k", Note(at=AT, text="clear"), "", None, AT, "local")
    assert entry_line(entry) == "12: Tuesday 10 March 19:30, clear"
    assert kept_sentence("Study", entry) == "Study, Tuesday 10 March: clear (entry 12)."
    unknown = Entry(12345, "k", Note(at=AT, text="clear", hour_known=False), "", None, AT, "local")
    assert entry_line(unknown) == "12345: Tuesday 10 March, clear"
    assert "(entry 12345)" in kept_sentence("Study", unknown)


def test_tanks_are_listed_in_the_order_they_come() -> None:
    some = KeptTank("a", "Study", "local", date(2026, 3, 1), "UTC", 3, AT)
    none = KeptTank("b", "Den", "local", date(2026, 3, 2), "UTC", 0, None)
    assert tanks_table((some, none)).rows == (
        ("Study", "2026-03-01", "3", "2026-03-10 19:30"),
        ("Den", "2026-03-02", "0", "-"),
    )
    assert "filled on 1 March 2026" in shown_sentence(Tank("Study", date(2026, 3, 1)))
