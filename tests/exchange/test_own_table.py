"""A log as a table: nothing a table can carry is lost, and no spreadsheet computes a cell."""

from __future__ import annotations

import csv
import dataclasses
import io
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_files import FULL
from tanks import tanks

from watervane.exchange import own_table_text, parse_tank_text, write_tank_file
from watervane.exchange.cells import neutral, told
from watervane.exchange.csv_text import table_from_text
from watervane.exchange.own_table import is_own, read_own_table
from watervane.records import Entry, Habit, Reading, Tank
from watervane.wording import finding_line

anything = st.text(st.sampled_from("=+-@\t\r\n;,'\"a1 \N{FULLWIDTH EQUALS SIGN}"), max_size=12)
DANGEROUS = tuple("=+-@\t\r\n\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}")


@settings(max_examples=500)
@given(anything | st.text(max_size=12))
def test_a_cell_is_never_computed_and_comes_back_exactly(text: str) -> None:
    cell = neutral(text)
    assert told(cell) == text
    assert not cell.startswith(DANGEROUS)
    for separator in ",;\t":  # as a program would split it that takes another separator
        for row in csv.reader(io.StringIO(cell, newline=""), delimiter=separator):
            assert not any(part.startswith(("=", "+", "-", "@")) for part in row)


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=cmd|'/C calc'!A0", "'=cmd|'/C calc'!A0"),
        ("-1", "'-1"),
        ("a;=1+1", "a;'=1+1"),
        ("'tis fine", "''tis fine"),
        ("25 %", "25 %"),
    ],
)
def test_signs_get_an_apostrophe(text: str, cell: str) -> None:
    assert neutral(text) == cell


def entries_of(tank: Tank) -> list[Entry]:
    now = datetime(2026, 3, 1, tzinfo=UTC)
    log = (*tank.events, *tank.habits, *tank.readings)
    return [Entry(i, str(i), what, "", None, now, "me") for i, what in enumerate(log)]


def bare(what: Any) -> Any:
    """Without what a table does not carry: the line, and words where figures say the same."""
    if isinstance(what, Habit):
        return dataclasses.replace(what, template=bare(what.template))
    what = dataclasses.replace(what, line=None)
    if hasattr(what, "value"):
        return dataclasses.replace(what, value=dataclasses.replace(what.value, raw=""))
    return dataclasses.replace(what, raw="") if hasattr(what, "raw") else what


def test_any_log_comes_back_from_its_table() -> None:
    settings(max_examples=15, deadline=None)(given(tanks())(comes_back_from_its_table))()


@pytest.mark.slow
def test_any_of_many_logs_comes_back_from_its_table() -> None:
    settings(max_examples=150, deadline=None)(given(tanks())(comes_back_from_its_table))()


def comes_back_from_its_table(tank: Tank) -> None:
    text = own_table_text(tank, entries_of(tank))
    table = read_own_table(table_from_text(text), tank)
    assert [finding_line(problem) for problem in table.bad] == []
    found = [written.what for row in table.rows for written in row.written]
    events = tuple(w for w in found if not isinstance(w, Habit | Reading))
    habits = tuple(w for w in found if isinstance(w, Habit))
    readings = tuple(w for w in found if isinstance(w, Reading))
    plain = parse_tank_text(write_tank_file(tank))  # a mass comes back with its words
    back = dataclasses.replace(plain, events=events, habits=habits, readings=readings)
    assert write_tank_file(back) == write_tank_file(plain)


def test_words_and_unknown_hours_come_back_too() -> None:
    tank = parse_tank_text(FULL)
    first = tank.readings[0]
    odd = dataclasses.replace(first, at=first.at.replace(hour=3), hour_known=False)
    (entry, *_) = entries_of(dataclasses.replace(tank, events=(), habits=(), readings=(odd,)))
    text = own_table_text(tank, [dataclasses.replace(entry, raw="=in my own words")])
    (row,) = read_own_table(table_from_text(text), tank).rows
    assert row.written[0].raw == "=in my own words"
    assert bare(row.written[0].what) == bare(odd)


def test_the_table_of_a_whole_tank_is_plain() -> None:
    tank = parse_tank_text(FULL)
    text = own_table_text(tank, entries_of(tank))
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert is_own(tuple(rows[0]))
    assert len(rows) == len(entries_of(tank))
    reading = next(row for row in rows if row["quantity"] == "ammonia")
    value = next(r.value for r in tank.readings if r.quantity == "ammonia")
    assert float(reading["low"]) == pytest.approx(value.low)
    assert reading["unit"] == "mg/L as N" or "N" in reading["unit"]


HEADER = "at,kind,quantity,value,low,high,unit,amount\n"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2026-03-10,reading,ammonia,lots,,,,", "line 2, column 'value'"),
        ("2026-03-10,meal,,,,,,", "line 2, column 'kind': 'meal' is nothing that is recorded"),
        ("2026-03-10,reading,amonia,1 mg/L,,,,", "line 2, column 'quantity'"),
        ("10.3.2026,feed,,,,,,1 pinch", "line 2, column 'at'"),
        ("2026-03-10,reading,ph,7.2,9,,,", "line 2, column 'low': '9' is not what"),
        ("2026-03-10,reading,ph,7.2,x,,,", "line 2, column 'low': 'x' is not what"),
        ("2026-03-10,feed,,,,,,1 pinch,x,y", "line 2: The row has 10 cells"),
        ("2020-03-10,feed,,,,,,1 pinch", "line 2, column 'at'"),
    ],
)
def test_a_bad_row_is_told_with_line_and_column(row: str, said: str) -> None:
    tank = parse_tank_text(FULL)
    table = read_own_table(table_from_text(f"{HEADER}{row}\n2026-03-11,feed,,,,,,1 pinch\n"), tank)
    lines = [finding_line(problem) for problem in table.bad]
    assert any(line.startswith(said) for line in lines), lines
    assert [row.row for row in table.rows] == [3]
