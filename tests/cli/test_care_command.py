"""``watervane care``: what it says, in what order, and what it hands to programs."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_care import KEPT, NITRATE, sample_care, sample_food, sample_return
from test_commands import call

from watervane.app import add_tank
from watervane.engine.care_gentle import days_until
from watervane.exchange.record_text import record_of_text, record_text
from watervane.records import Person, Reading, ReadingValue
from watervane.records.care import CareSchedule, FoodSearch, GentleStart
from watervane.wording.care import care_parts

FILE = "x.tank.toml"
BOUNDS = [
    ("nitrate", "above"), ("alkalinity", "below"), ("hardness", "above"), ("hardness", "below"),
    ("conductivity", "above"), ("change", "above"), ("ph", "above"), ("ph", "below"),
    ("ammonia", "above"), ("nitrite", "above"), ("chlorine", "above"), ("temperature", "above"),
]  # fmt: skip


def _words(fake: FakePorts, *more: str) -> str:
    result = call(fake, "care", FILE, *more)
    assert result.code == 0
    assert "{" not in result.out
    assert "care-" not in result.out
    return " ".join(result.out.split())


def test_the_routine_comes_first_then_practice_then_why_no_less() -> None:
    words = _words(FakePorts())
    places = [
        words.index(text)
        for text in (
            "Change 30 % of the water (18 L) every second week",
            "a quarter every four weeks, is not enough here: nitrate goes over 44 mg/L as nitrate",
            "in 11 of 20 of the imagined tanks",
            "What you do now (25 % every 3 weeks) is not enough",
            "Why no less: with 20 % every second week",
            "squeeze all of the media",
            "vacuum less than half",
            "Nitrate: a reading tells for about 63 days",
            "KH: with this routine no reading would change",
            "Half as much each time: nitrate goes over",
            "Every second change left out: all bounds are still kept",
            "From June to August",
            "0.20 dKH for each mg N/L) and ask for 40 % every four weeks",
            "Where it comes to rest",
        )
    ]
    assert places == sorted(places)


def test_a_reading_that_harms_at_once_comes_before_any_care_for_a_year() -> None:
    fake = FakePorts()
    value = ReadingValue("exact", 9.0, 9.0, "n")
    read = Reading(fake.tank.readings[-1].at + timedelta(days=1), "ammonia", value)
    fake.tank = replace(fake.tank, readings=(*fake.tank.readings, read))
    words = _words(fake)
    assert words.index("First of all see to today") < words.index("You read ammonia 9.0")
    assert words.index("You read ammonia 9.0") < words.index("Change 30 % of the water")
    assert "First of all" not in _words(FakePorts())


def test_the_way_back_stands_before_all_that_can_wait() -> None:
    words = _words(FakePorts(schedule=sample_care(returning=sample_return())))
    places = [
        words.index(text)
        for text in (
            "Bring it back first",
            "One change a day, for 3 days",
            "half changed today would lift KH by 2.5 dKH and move pH by 1.3",
            "3.1 times what those in the tank bear",
            "pure water is needed",
            "Day 1: 9.0 L (15 %) of soft water: 0.90 L of tap water",
            "Day 2: 6.0 L of conditioned tap water (10 %)",
            "After that, for the year",
            "Change 30 % of the water",
            "Cleaning",
        )
    ]
    assert places == sorted(places)
    alike = replace(sample_return(), harm=0.0, harm_without=0.0)
    told = _words(FakePorts(schedule=sample_care(returning=alike)))
    assert "in none of the imagined tanks, with these steps as without any" in told


@pytest.mark.parametrize(("subject", "side"), BOUNDS)
def test_every_bound_has_its_words(subject: str, side: str) -> None:
    bound = replace(NITRATE, subject=subject, side=side)
    _words(FakePorts(schedule=sample_care(bound)), "--full")


@pytest.mark.parametrize(
    ("food", "words"),
    [
        (sample_food("half"), "Less than half of what is planned was not searched"),
        (sample_food("no-need-known", 1.0), "is not known here, so that less food was not"),
        (sample_food("below-need", 1.4), "is less than the tables say even idle animals need"),
    ],
)
def test_why_no_less_food_was_searched(food: FoodSearch, words: str) -> None:
    times = food.levels[-1].times
    told = sample_care()
    assert told.chosen is not None
    fed = replace(told.chosen, routine=replace(told.chosen.routine, food=times))
    out = _words(FakePorts(schedule=replace(told, food=food, chosen=fed)))
    assert words in out
    assert ("Feed " in out) == (times != 1.0)


def test_less_food_is_told_with_what_it_saves() -> None:
    told = sample_care()
    assert told.chosen is not None
    fed = replace(told.chosen, routine=replace(told.chosen.routine, food=0.5))
    out = _words(FakePorts(schedule=replace(told, chosen=fed)))
    assert "Feed 0.10 g a day, 50 % of what is planned: with all of it" in out
    assert "need 0.045 g a day (idle) to 0.10 g (lively)" in out
    assert "Fed 75 % of what is planned (0.15 g a day by the measure of your log)" in out


def test_the_document_tells_all_of_it() -> None:
    fake = FakePorts(schedule=sample_care(returning=sample_return()))
    result = call(fake, "care", FILE, "--json")
    told = json.loads(result.out)
    assert result.code == 0
    assert told["format"] == "watervane-care/1"
    assert told["chosen"]["routine"]["share"] == 0.3
    assert told["returning"]["steps"][0]["water"] == "soft"
    assert told["steady"][0]["closed"]["p50"] == 8.0
    assert "diagnostics" not in told


def test_members_and_seed_are_handed_on_and_a_poor_fit_is_told() -> None:
    poor = replace(sample_care(), diagnostics=replace(sample_care().diagnostics, health="poor"))
    fake = FakePorts(schedule=poor)
    assert call(fake, "care", FILE, "--members", "60", "--seed", "4").code == 3
    request, as_of = fake.cared[0]
    assert (request.members, request.seed, as_of) == (60, 4, None)


@pytest.mark.parametrize("told", [["--members", "3"], ["--at", "soon"]])
def test_what_cannot_be_is_refused_with_one_message(told: list[str]) -> None:
    result = call(FakePorts(), "care", FILE, *told)
    assert result.code == 2
    assert "Traceback" not in result.err


def test_a_schedule_survives_being_kept() -> None:
    told = sample_care(returning=sample_return())
    assert record_of_text(CareSchedule, record_text(told)) == told


def test_small_changes_come_before_the_routine_where_buffering_is_spent() -> None:
    gentle = GentleStart(0.1, 6.0, 0.5, 1.5, 4)
    words = _words(FakePorts(schedule=replace(sample_care(), gentle=gentle)))
    before = "Change 10 % of the water (6.0 L) each day first, for about 4 days"
    assert words.index(before) < words.index("Change 30 % of the water")
    never = replace(sample_care(), gentle=replace(gentle, gentle_days=None))
    assert "Change no more than 10 % of the water (6.0 L) a day" in _words(
        FakePorts(schedule=never)
    )


def test_only_what_is_kept_is_named_and_all_of_the_media_have_no_portions() -> None:
    lost = replace(KEPT, subject="hardness", side="below", kept=False, out_of_reach=True)
    alkaline = replace(KEPT, subject="alkalinity", side="below")
    words = _words(FakePorts(schedule=replace(sample_care(), bounds=(lost, alkaline, KEPT))))
    assert "that keeps nitrate and KH in bounds" in words
    assert "leave at least that long between two cleanings" in words


def test_days_until_buffering_is_enough_are_counted_against_what_a_day_takes() -> None:
    assert days_until(0.5, 8.0, 0.0) == 2  # 1.25, 1.925
    assert days_until(0.5, 8.0, -0.4) == 3  # 0.89, 1.24 and 1.56
    assert days_until(0.5, 1.2, 0.0) is None


def test_parts_have_titles_but_for_the_first() -> None:
    parts = care_parts(sample_care(returning=sample_return()))
    assert parts[0].title == ""
    assert all(part.title for part in parts[1:])
    assert all(part.sentences or part.steps or part.tables for part in parts)


def test_a_bound_of_harm_says_whom_it_harms() -> None:
    told = sample_care()
    chronic = replace(NITRATE, tier="chronic", animals=("Neocaridina davidi",), kept=False)
    practice = replace(told.practice, keeps=False, worst=chronic)
    words = _words(FakePorts(schedule=replace(told, practice=practice)))
    assert "(harm over time for Neocaridina davidi), in " in words


def test_care_of_a_tank_of_the_journal_counts_its_days_from_now(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    fake = FakePorts()
    ports = fake.ports()
    add_tank(Person(), ports, name="Study", words=("filled=2026-03-01", "volume=57 L"))
    for asked in (("care", "Study"), ("care", "reading-room.tank.toml")):
        assert call(fake, *asked).code == 0
    (journal, of_journal), (file, of_file) = fake.cared
    assert of_journal is not None
    assert abs(of_journal - ports.journal.now()) < timedelta(hours=1)
    assert (journal.carried_from is not None, file.carried_from, of_file) == (True, None, None)
