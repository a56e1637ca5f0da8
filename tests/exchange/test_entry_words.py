"""A line of words means an entry, or one clear problem."""

from __future__ import annotations

from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.exchange import (
    TankFileErrors,
    describe_tank,
    kind_word,
    parse_tank_text,
    read_entry_words,
)
from watervane.records import (
    AnimalsIn,
    Clean,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Habit,
    Media,
    Note,
    Reading,
    TopOff,
    WaterChange,
)
from watervane.wording import finding_text
from watervane.wording.templates import templates

AT = datetime(2026, 3, 12, 19, 30)
TANK = parse_tank_text(
    'format = "watervane-tank/1"\n[tank]\nname = "Study"\nfilled = 2026-03-01\n'
    'volume = "60 L"\ntime_zone = "Europe/Lisbon"\n'
    '[kits.drop]\nammonia = { steps = ["0", "0.3", "0.7"], unit = "mg/L as N" }\n'
)


def read(kind: str, *words: str) -> Event | Habit | Reading:
    return read_entry_words(kind, words, AT, TANK)[0]


@pytest.mark.parametrize(
    ("kind", "words", "record", "fields"),
    [
        ("feed", ["1 pinch"], Feed, {"raw": "1 pinch"}),
        ("feed", ["mass=0.03 g"], Feed, {"protein": 0.42}),
        ("fed", ["0"], Feed, {}),
        ("water-change", ["25 %"], WaterChange, {"fraction": 0.25}),
        ("water change", ["0,25"], WaterChange, {"fraction": 0.25}),
        ("change", ["15 L"], WaterChange, {"fraction": 0.25}),
        ("change", ["15 L", "conditioner=no"], WaterChange, {"conditioner": False}),
        ("top-off", [], TopOff, {"volume_l": None}),
        ("top-off", ["2 L", "pure=yes"], TopOff, {"volume_l": 2.0, "pure": True}),
        ("animals", ["4", "Danio rerio", "length=2.5 cm"], AnimalsIn,
         {"count": 4, "species": "Danio rerio", "length_cm": 2.5}),
        ("dose", ["conditioner"], Dose, {"substance": "conditioner"}),
        ("dose", ["ammonium chloride", "raise_to=2 mg/L as N"], Dose, {"target_mg_n_per_l": 2.0}),
        ("clean", ["filter", "tap water"], Clean, {"part": "filter", "how": "tap water"}),
        ("equipment", ["heater-set-point=24 degC"], EquipmentChange,
         {"changes": {"heater_set_point_c": 24.0}}),
        ("equipment", ["media=1 L ceramic, 0 L of sponge", "bed-depth=5 cm", "plants=many"],
         EquipmentChange,
         {"media": (Media("ceramic", 1.0), Media("sponge", 0.0)), "bed_depth_cm": 5.0,
          "plants": "many", "changes": {}}),
        ("equipment", ['media=[{ kind = "foam", volume = "0.5 L" }]', "bed_material=sand"],
         EquipmentChange, {"media": (Media("foam", 0.5),), "bed_material": "sand"}),
        ("note", ["they said pH = 7"], Note, {"text": "they said pH = 7"}),
        ("reading", ["ammonia", "0,7 mg/L as N", "kit=drop"], Reading,
         {"quantity": "ammonia", "kit": "drop"}),
        ("test", ["ph", "7,4"], Reading, {"quantity": "ph"}),
    ],
)  # fmt: skip
def test_a_line_means_an_entry(kind, words, record, fields) -> None:
    found = read(kind, *words)
    assert type(found) is record
    assert {name: getattr(found, name) for name in fields} == fields
    assert found.at.replace(tzinfo=None) == AT
    assert read(kind_word(found), *words) == found


def test_every_makes_a_habit_from_that_day_on() -> None:
    found = read("feed", "1 pinch", "every=2 d")
    assert isinstance(found, Habit)
    assert (found.every_days, found.start) == (2.0, AT.date())
    assert kind_word(found) == "feed"


def test_a_date_alone_is_an_unknown_hour() -> None:
    found, _ = read_entry_words("note", ["x"], date(2026, 3, 12), TANK)
    assert (found.hour_known, found.at.time()) == (False, time(12))


@pytest.mark.parametrize(
    ("kind", "words", "told"),
    [
        ("feeed", [], "feed"),
        ("song", [], "reading"),
        ("feed", ["lots"], "1 pinch"),
        ("feed", ["1 pinch", "again"], "protein"),
        ("feed", ["1 pinch", "protien=0.4"], "protein"),
        ("reading", ["amonia", "0.7"], "ammonia"),
        ("reading", ["ammonia", "much"], "much"),
        ("reading", ["ammonia", "0.7 mg/L", "kit=dorp"], "drop"),
        ("reading", ["ammonia"], "value"),
        ("animals", ["some", "Danio rerio"], "some"),
        ("animals", ["4"], "species"),
        ("change", [], "fraction"),
        ("change", ["90 L"], "90"),
        ("clean", ["the lot"], "filter"),
        ("equipment", ["media=much ceramic"], "1 L ceramic"),
        ("equipment", ["media=1 L gold"], "gold"),
        ("equipment", ["bed_material=lava"], "gravel"),
        ("equipment", ["volume=120 L"], "size"),
        ("equipment", ["plants=few", "every=1 d"], "day"),
    ],
)
def test_a_line_that_means_nothing_names_what_would_be_taken(kind, words, told) -> None:
    with pytest.raises(TankFileErrors) as caught:
        read(kind, *words)
    (problem, *_) = caught.value.problems
    assert problem.key in templates()
    assert told in finding_text(problem)


@given(
    st.sampled_from(["feed", "reading", "change", "note", "dose"]), st.lists(st.text(), max_size=3)
)
def test_any_words_mean_an_entry_or_a_problem(kind, words) -> None:
    try:
        read(kind, *words)
    except TankFileErrors as errors:
        assert errors.problems


def test_a_tank_is_described_in_a_line() -> None:
    tank = describe_tank(
        ["filled=2026-03-01", "volume=57 L", "heater.set_point=25 degC", "lid=yes", "plants=few",
         "source_water.kh=5 dKH", "kits.drop.kind=drop", "shape.kind=cylinder",
         "shape.diameter=30 cm"],
        name="Study",
    )  # fmt: skip
    assert (tank.name, tank.filled, tank.volume_l) == ("Study", date(2026, 3, 1), 57.0)
    assert (tank.heater_set_point_c, tank.lid, tank.plants) == (25.0, True, "few")
    assert (tank.source_water.kh_dkh, list(tank.kits)) == (5.0, ["drop"])
    changed = describe_tank(["volume=", "heater.set-point=24 degC", "name=7"], tank)
    assert (changed.volume_l, changed.heater_set_point_c) == (None, 24.0)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["filled=2026-03-01", "volumne=57 L"], "volume"),
        (["filled=2026-03-01", "57 L"], "KEY=VALUE"),
        (["volume=57 L"], "filled"),
        (["filled=soon"], "soon"),
        (["filled=2026-03-01", "heater.power=strong"], "strong"),
        (["filled=2026-03-01", "event.kind=feed"], "event"),
    ],
)
def test_a_description_that_cannot_be_read_names_its_place(words, told) -> None:
    with pytest.raises(TankFileErrors) as caught:
        describe_tank(words, name="Study")
    assert any(told in finding_text(problem) for problem in caught.value.problems)


def test_a_bare_number_of_a_change_is_asked_back() -> None:
    with pytest.raises(TankFileErrors) as caught:
        read_entry_words("water-change", ("25",), AT, TANK)
    (finding,) = caught.value.problems
    assert finding.arguments["field"] == "volume"
    assert 'Write "25 %" or "25 L"' in finding_text(finding)
