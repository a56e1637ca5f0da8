"""What is asked about before it is kept, what cannot be, and that usual entries pass unasked."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.exchange import entry_doubts, read_entry_words, tank_doubts
from watervane.records import Habit, Reading, Tank

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
TANK = Tank("Sill", date(2026, 9, 1), volume_l=60.0)


def asked(kind: str, *words: str, at: datetime = NOW, tank: Tank = TANK) -> list[tuple[str, str]]:
    what, _ = read_entry_words(kind, words, at, tank)
    return [(each.key, each.severity) for each in entry_doubts(what, tank, NOW)]


def logged(*lines: tuple[str, ...]) -> Tank:
    """The tank with entries of the day before."""
    events, readings = [], []
    for kind, *words in lines:
        what, _ = read_entry_words(kind, words, NOW - timedelta(days=1), TANK)
        assert not isinstance(what, Habit)
        if isinstance(what, Reading):
            readings.append(what)
        else:
            events.append(what)
    return replace(TANK, events=tuple(events), readings=tuple(readings))


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("reading", ("ammonia", "8 mg/L")),
        ("reading", ("nitrate", "> 250 mg/L")),
        ("reading", ("ph", "6.4")),
        ("reading", ("temperature", "31 degC")),
        ("feed", ("2 pinches",)),
        ("feed", ("0",)),
        ("feed", ("1 g",)),
        ("top-off", ("5 L",)),
        ("water-change", ("100 %",)),
        ("animals-in", ("12", "neon tetra")),
        ("animals-in", ("2", "goldfish", "length=20 cm")),
        ("dose", ("salt", "180 g")),
        ("dose", ("ammonium chloride", "raise_to=4 mg/L as N")),
        ("equipment", ("heater_set_point=28 degC",)),
        ("equipment", ("media=2 L ceramic", "bed_depth=6 cm")),
        ("note", ("all is well",)),
    ],
)
def test_what_keepers_do_passes_unasked(kind: str, words: tuple[str, ...]) -> None:
    assert asked(kind, *words) == []


@pytest.mark.parametrize(
    ("kind", "words", "key"),
    [
        ("reading", ("ammonia", "500 mg/L"), "doubt-reading-near"),
        ("reading", ("temperature", "77 degC"), "doubt-reading-near"),
        ("reading", ("ph", "2"), "doubt-reading"),
        ("feed", ("300 g",), "doubt-food-rise"),
        ("top-off", ("40 L",), "doubt-top-off"),
        ("animals-in", ("6", "unicorn"), "doubt-animal"),
        ("animals-in", ("6", "neon tetrra"), "doubt-animal-near"),
        ("animals-in", ("6", "neon tetra", "length=25 cm"), "doubt-length"),
        ("animals-in", ("600", "neon tetra"), "doubt-count"),
        ("dose", ("salt", "2 kg"), "doubt-dose"),
        ("dose", ("ammonium chloride", "raise_to=20 mg/L as N"), "doubt-dosed-high"),
        ("equipment", ("heater_set_point=77 degC",), "doubt-set-point-near"),
        ("equipment", ("media=100 L ceramic",), "doubt-media"),
        ("equipment", ("bed_depth=50 cm",), "doubt-bed"),
    ],
)
def test_a_likely_slip_is_asked_about(kind: str, words: tuple[str, ...], key: str) -> None:
    found = asked(kind, *words)
    assert [each for each, _ in found] == [key]
    assert {severity for _, severity in found} == {"caution"}


def test_more_than_the_tank_holds_cannot_be() -> None:
    assert asked("top-off", "500 L") == [("doubt-overflows", "problem")]
    assert asked("top-off", "500 L", tank=replace(TANK, volume_l=None)) == []


@pytest.mark.parametrize(("hours", "expected"), [(0.5, 0), (3, 1), (48, 1), (-48, 0)])
def test_a_reading_of_the_future_is_asked_about(hours: float, expected: int) -> None:
    at = NOW + timedelta(hours=hours)
    assert len(asked("reading", "ph", "7.4", at=at)) == expected


def test_a_deed_of_a_day_to_come_is_asked_about_and_a_habit_only_far_ahead() -> None:
    ahead = NOW + timedelta(days=3)
    assert asked("water-change", "25 %", at=ahead) == [("doubt-ahead", "caution")]
    assert asked("water-change", "25 %", at=NOW + timedelta(hours=3)) == []
    assert asked("water-change", "25 %", "every=7 d", at=ahead) == []
    far = NOW + timedelta(days=90)
    assert asked("water-change", "25 %", "every=7 d", at=far) == [("doubt-ahead", "caution")]


def test_what_was_meant_is_guessed() -> None:
    what, _ = read_entry_words("reading", ("ammonia", "250 mg/L"), NOW, TANK)
    (found,) = entry_doubts(what, TANK, NOW)
    assert found.arguments["near"] == "2.5 mg/L" or found.arguments["near"] == "25 mg/L"
    what, _ = read_entry_words("reading", ("temperature", "77 degC"), NOW, TANK)
    (found,) = entry_doubts(what, TANK, NOW)
    assert found.arguments["near"] == "77 °F"


def test_ph_that_jumps_is_asked_about_where_no_reading_bears_it_out() -> None:
    low = logged(("reading", "ph", "6.4"))
    assert asked("reading", "ph", "9.4", tank=low) == [("doubt-jump", "caution")]
    assert asked("reading", "ph", "7.4", tank=low) == []
    both = logged(("reading", "ph", "6.4"), ("reading", "ph", "9.2"))
    assert asked("reading", "ph", "9.4", tank=both) == []


def test_who_leaves_is_to_have_come() -> None:
    six = logged(("animals-in", "6", "Danio rerio"))
    assert asked("died", "1", "zebra danio", tank=six) == []
    assert asked("died", "7", "zebra danio", tank=six) == [("doubt-fewer-here", "caution")]
    assert asked("died", "1", "guppy", tank=six) == [("doubt-not-here", "caution")]
    assert asked("died", "1", "guppy") == []


def test_a_tank_of_no_home_is_asked_about() -> None:
    keys = {each.key for each in tank_doubts(replace(TANK, volume_l=0.5), NOW)}
    assert keys == {"doubt-size"}
    later = replace(TANK, filled=date(2027, 1, 1), heater_set_point_c=77.0)
    keys = {each.key for each in tank_doubts(later, NOW)}
    assert keys == {"doubt-filled-ahead", "doubt-set-point-near"}
    assert tank_doubts(TANK, NOW) == ()
