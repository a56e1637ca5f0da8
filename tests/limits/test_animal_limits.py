"""The table of animals: whole, sensible, and refused by line where it is not."""

from __future__ import annotations

import pytest

from watervane.bootstrap import real_ports
from watervane.reference import (
    AnimalValue,
    CatalogueAnimal,
    TableError,
    animal_needs,
    animal_values,
    find_animal,
    load_table,
    source,
)
from watervane.reference.animal_limits import GROUPS, RANGES, read_animal_values
from watervane.reference.catalogue_shipped import read_catalogue
from watervane.reference.sources import package_text
from watervane.units import Span

HEADER = "name,quantity,low,high,widest_low,widest_high,unit,group,source,where,quality,note"
GOOD = "Danio rerio,temperature,18,27,18,28,degC,,zoology_memory,,from memory,"
FIELDS = {"temperature": "temperature_c", "ph": "ph", "hardness": "gh_dgh"}
KEEPABLE = {"temperature": (4.0, 34.0), "ph": (4.0, 9.0), "hardness": (0.0, 32.0)}


def test_every_animal_of_the_tables_has_every_range_and_group() -> None:
    names = {row.extra["name"] for row in load_table("animals")}
    assert len(names) == 45
    for name in names:
        needs = animal_needs(name)
        assert needs.matched == "name"
        assert set(needs.values) >= {*RANGES, *GROUPS}, name


def test_ranges_are_of_waters_animals_live_in_and_leave_room() -> None:
    for row in animal_values():
        if row.quantity in RANGES:
            lowest, highest = KEEPABLE[row.quantity]
            assert row.low is not None
            assert row.high is not None
            assert row.widest_low is not None
            assert row.widest_high is not None
            assert lowest <= row.widest_low <= row.low, row
            assert row.high <= row.widest_high <= highest, row
            room = {"temperature": 3.0, "ph": 1.0, "hardness": 4.0}[row.quantity]
            assert row.high - row.low >= room, row
        assert source(row.source)


def test_what_two_passes_did_not_agree_on_is_told_in_the_row() -> None:
    """Where the widest range is wider than comfort, both passes stand beside it."""
    differed = 0
    for row in animal_values():
        if row.quantity not in RANGES:
            continue
        ends = (row.widest_low, row.low, row.high, row.widest_high)
        apart = ends[0] != ends[1] or ends[2] != ends[3]
        differed += apart
        assert apart == row.note.startswith("passes:"), row
        for end in ends:
            assert not apart or f"{end:g}" in row.note
    assert differed > 50, "two passes that never differ were one"


def test_what_is_not_from_memory_was_measured() -> None:
    for row in animal_values():
        assert (row.source == "zoology_memory") == (row.quality == "from memory"), row


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (GOOD.replace("Danio rerio", "Danio nobody"), "t.csv:2: 'Danio nobody' is not in"),
        (GOOD.replace("temperature", "mood"), "t.csv:2: 'mood' is no quantity"),
        (GOOD.replace("18,27", "27,18"), "t.csv:2: a range goes up"),
        (GOOD.replace("18,27", "18,"), "t.csv:2: a range goes up"),
        (GOOD.replace("degC", ""), "t.csv:2: no unit"),
        (GOOD.replace("zoology_memory", "hearsay"), "t.csv:2: source 'hearsay'"),
        (f"{GOOD}\n{GOOD}", "t.csv:3: temperature of Danio rerio comes twice"),
        (
            "Danio rerio,nitrite group,,,,,-,brave,zoology_memory,,from memory,",
            "t.csv:2: 'brave' is no nitrite group",
        ),
        (
            "Danio rerio,measured ph,,,,,1,,zoology_memory,,from memory,",
            "t.csv:2: a measured limit",
        ),
    ],
)
def test_a_wrong_row_is_refused_with_its_line(line: str, message: str) -> None:
    with pytest.raises(TableError) as caught:
        list(read_animal_values(f"{HEADER}\n{line}\n", "t.csv"))
    assert str(caught.value).startswith(message)


def test_a_good_row_is_read() -> None:
    assert len(list(read_animal_values(f"{HEADER}\n{GOOD}\n", "t.csv"))) == 1


def test_a_value_is_told_as_a_reader_takes_it_in() -> None:
    told = {quantity: row.told for quantity, row in animal_needs("cardinal tetra").values.items()}
    assert told["nitrite group"] == "very sensitive"
    assert told["temperature"] == "24 to 29 degC"
    assert told["measured ph"] == "2.9 to 8.8"
    assert animal_needs("goldfish").values["measured temperature"].told == "from 6.54 degC"
    assert animal_needs("guppy").values["measured temperature"].told == "up to 39.71 degC"


def test_the_list_of_sources_shows_what_rests_on_each() -> None:
    entries = {entry.key: entry for entry in real_ports().sources()}
    named = [place for place, _ in entries["voslarova2006"].details]
    assert "limits/limit_nitrite_acute_tolerant" in named
    assert "animal_limits/Danio rerio, nitrite group" in named


def test_a_stranger_has_no_values() -> None:
    needs = animal_needs("glimmerfish")
    assert (needs.matched, dict(needs.values)) == ("none", {})
    assert needs.group("ammonia group") == "unknown"


def differing() -> list[tuple[AnimalValue, CatalogueAnimal]]:
    """Every range of the table that the reviews tell otherwise."""
    reviewed = {
        each.scientific_name: each
        for each in read_catalogue(package_text("catalogue.csv"), "catalogue.csv")
    }
    return [
        (row, reviewed[row.name])
        for row in animal_values()
        if row.quantity in FIELDS and row.name in reviewed
        if Span(row.low, row.high) != getattr(reviewed[row.name], FIELDS[row.quantity])
    ]


def test_where_table_and_reviews_differ_one_range_stands_and_it_is_the_careful_one() -> None:
    """What all call good within what any calls good, the same wherever an animal is looked up."""
    found = differing()
    assert {(row.name, row.quantity) for row, _ in found} >= {
        ("Oryzias latipes", "temperature"),
        ("Poecilia reticulata", "hardness"),
    }
    assert len(found) == 66, "a range was changed: see whether the new one is meant"
    for row, animal in found:
        field = FIELDS[row.quantity]
        ours, widest = getattr(animal, field), getattr(animal, f"widest_{field}")
        value = animal_needs(row.name).values[row.quantity]
        assert (value.low, value.high) == (max(row.low, ours.low), min(row.high, ours.high))
        ends = (min(row.widest_low, widest.low), max(row.widest_high, widest.high))
        assert (value.widest_low, value.widest_high) == ends
        assert getattr(find_animal(row.name), field) == Span(value.low, value.high)
        assert getattr(find_animal(row.name), f"widest_{field}") == Span(*ends)


def test_of_groups_the_most_careful_stands_wherever_it_is_looked_up() -> None:
    for row in animal_values():
        if row.quantity in GROUPS:
            animal = find_animal(row.name)
            group = getattr(animal, row.quantity.replace(" ", "_"))
            assert animal_needs(row.name).group(row.quantity) == group, row
