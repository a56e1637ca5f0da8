"""Writing and reading a tank again keeps its meaning."""

from __future__ import annotations

import dataclasses
import math
from datetime import datetime
from typing import Any

import pytest
from hypothesis import given, settings
from sample_files import FULL
from tanks import tanks
from test_tank_reader import SHIPPED

from watervane.exchange import parse_tank_text, read_tank_file, write_tank_file
from watervane.journal.plain import dumped, loaded
from watervane.records import EquipmentChange, Media, Tank


def meaning(value: Any) -> Any:
    """A record as plain data, without lines and the words a value was told in."""
    if dataclasses.is_dataclass(value):
        fields = {f.name: getattr(value, f.name) for f in dataclasses.fields(value)}
        told = {n: meaning(v) for n, v in fields.items() if n not in ("line", "raw")}
        return {"record": type(value).__name__, **told}
    if isinstance(value, dict):
        return {name: meaning(inner) for name, inner in value.items()}
    if isinstance(value, tuple):
        return [meaning(inner) for inner in value]
    if isinstance(value, datetime):
        return value.isoformat(), str(value.tzinfo)
    return value


def same(first: Any, second: Any) -> bool:
    """Equal up to the last digits of a number."""
    if isinstance(first, float) and isinstance(second, float):
        return math.isclose(first, second, rel_tol=1e-12, abs_tol=1e-80)
    if isinstance(first, dict) and isinstance(second, dict):
        return first.keys() == second.keys() and all(same(first[k], second[k]) for k in first)
    if isinstance(first, (list, tuple)) and isinstance(second, (list, tuple)):
        return len(first) == len(second) and all(map(same, first, second))
    return bool(first == second)


def without_lines(tank: Tank) -> Tank:
    def bare(entries: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(dataclasses.replace(entry, line=None) for entry in entries)

    return dataclasses.replace(
        tank,
        events=bare(tank.events),
        readings=bare(tank.readings),
        habits=tuple(
            dataclasses.replace(h, template=dataclasses.replace(h.template, line=None))
            for h in tank.habits
        ),
    )


def test_an_invented_tank_comes_back_with_the_same_meaning() -> None:
    settings(max_examples=30, deadline=None)(given(tanks())(comes_back))()


@pytest.mark.slow
def test_any_of_many_invented_tanks_comes_back_with_the_same_meaning() -> None:
    settings(max_examples=300, deadline=None)(given(tanks())(comes_back))()


def comes_back(tank: Tank) -> None:
    text = write_tank_file(tank)
    again = parse_tank_text(text)
    assert same(meaning(tank), meaning(again)), text


def test_what_was_read_once_is_read_exactly_the_same_again() -> None:
    settings(max_examples=12, deadline=None)(given(tanks())(is_read_the_same_again))()


@pytest.mark.slow
def test_any_of_many_tanks_read_once_is_read_exactly_the_same_again() -> None:
    settings(max_examples=150, deadline=None)(given(tanks())(is_read_the_same_again))()


def is_read_the_same_again(tank: Tank) -> None:
    first = parse_tank_text(write_tank_file(tank))
    second = parse_tank_text(write_tank_file(first))
    assert without_lines(first) == without_lines(second)


def test_the_full_example_and_all_shipped_files_come_back_exactly() -> None:
    for tank in (parse_tank_text(FULL), *(read_tank_file(path) for path in SHIPPED)):
        assert without_lines(parse_tank_text(write_tank_file(tank))) == without_lines(tank)


def test_the_keepers_own_words_are_kept() -> None:
    text = FULL.replace("0.7 mg/L as N", "0,7 ppm NH4-N").replace('"1 pinch"', '"a pinch"')
    written = write_tank_file(parse_tank_text(text))
    assert "0,7 ppm NH4-N" in written
    assert 'amount = "a pinch"' in written


def test_the_second_of_two_equal_hours_keeps_its_offset() -> None:
    text = FULL.replace("2026-03-10T19:00:00", "2026-10-25T01:30:00+00:00")
    tank = parse_tank_text(text)
    assert tank.readings[0].at.fold == 1
    assert parse_tank_text(write_tank_file(tank)).readings[0].at.fold == 1


def test_parts_since_a_day_come_back_exactly_from_a_file_and_from_a_journal() -> None:
    event = """
        [[event]]
        at = 2026-07-12T18:00:00
        kind = "equipment"
        light_hours = 6.0
        plants = "many"
        bed_material = "coral sand"
        bed_depth = "4 cm"
        bed_grain = "2 mm"
        media = [{ kind = "ceramic", volume = "1 L" }, { kind = "sponge", volume = "0 L" }]
    """
    tank = parse_tank_text(FULL + event)
    (*_, told) = tank.events
    assert isinstance(told, EquipmentChange)
    assert told.media == (Media("ceramic", 1.0), Media("sponge", 0.0))
    assert without_lines(parse_tank_text(write_tank_file(tank))) == without_lines(tank)
    apart = {"at": told.at, "hour_known": told.hour_known, "line": told.line}
    assert loaded(dumped(told), EquipmentChange, apart) == told
