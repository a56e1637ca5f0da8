"""Tables of any making: what is clear is taken, what is not is asked about."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.exchange import TankFileErrors, read_table, sort_of_file
from watervane.exchange.csv_text import decoded_table, table_from_text
from watervane.exchange.foreign_dates import Ambiguous, order_of, read_date
from watervane.exchange.foreign_meanings import guessed_meaning, told_meaning
from watervane.exchange.foreign_numbers import decimal_of, pointed
from watervane.exchange.foreign_table import read_foreign_table
from watervane.exchange.problems import Refusal
from watervane.records import Feed, Kit, Note, Reading, TableRead, Tank, WaterChange
from watervane.wording import finding_line

TANK = Tank("Study", date(2026, 3, 1), volume_l=60.0, kits={"drop": Kit("drop")})


def read(text: str, **told: Any) -> TableRead:
    return read_foreign_table(table_from_text(text), TANK, **told)


def whats(table: TableRead) -> list[Any]:
    return [written.what for row in table.rows for written in row.written]


def said(table: TableRead) -> list[str]:
    return [finding_line(problem) for problem in table.bad]


def test_a_usual_table_is_understood_by_its_headers() -> None:
    text = (
        "Date,Time,NH4 (mg/l),NO2-N (mg/l),NO3 [ppm],pH,Temp (C),Food,Water change (%),Notes\n"
        "2026-03-12,19:30,0.25,<0.02,>80,7.2,24.5,1 pinch,25,clear\n"
        "2026-03-13,,,,,,,,,\n"
        "2026-03-14,7:05 pm,-,0.1,n/a,,,,,all well\n"
    )
    table = read(text)
    assert said(table) == []
    assert [row.row for row in table.rows] == [2, 3, 4]
    ammonia, nitrite, nitrate, ph, warmth, feed, change, note, later, last = whats(table)
    assert ammonia.at == datetime(2026, 3, 12, 19, 30, tzinfo=UTC)
    assert (ammonia.value.basis, ammonia.value.raw) == ("unknown", "0.25 mg/L")
    assert (nitrite.value.kind, nitrite.value.basis) == ("below", "n")
    assert nitrate.value.high is None
    assert (ph.value.low, warmth.value.low) == (7.2, 24.5)
    assert isinstance(feed, Feed)
    assert isinstance(change, WaterChange)
    assert change.fraction == 0.25
    assert (note.text, last.text) == ("clear", "all well")
    assert later.at == datetime(2026, 3, 14, 19, 5, tzinfo=UTC)
    assert table.rows[0].written[0].raw == "NH4 (mg/l): 0.25"


def test_decimal_commas_semicolons_and_the_day_first() -> None:
    table = read("Datum;NH4 in mg/l;pH\n31.03.2026;0,25;7,1\n01.04.2026;0,5;7\n",
                 columns=("NH4 in mg/l=ammonia in mg/L as NH4 kit=drop",))  # fmt: skip
    assert said(table) == []
    first, ph, second, _ = whats(table)
    assert (first.at.date(), second.at.date()) == (date(2026, 3, 31), date(2026, 4, 1))
    assert (first.value.basis, first.kit, ph.value.low) == ("ion", "drop", 7.1)
    assert not first.hour_known


def test_one_reading_a_row() -> None:
    text = (
        "when\ttest\tresult\tunits\tmethod\n"
        "2026-03-12 08:00\tNO3\t20\tmg/l\tdrop\n"
        "2026-03-12 08:05\tpH\t7.2\t\t\n"
    )
    table = read(text)
    assert said(table) == []
    nitrate, ph = whats(table)
    assert (nitrate.quantity, nitrate.kit, nitrate.value.basis) == ("nitrate", "drop", "unknown")
    assert (ph.quantity, ph.value.low) == ("ph", 7.2)


ASKED = [
    ("Date,pH\n03/04/2026,7\n", "line 1, column 'Date': 03/04/2026 may be Friday 3 April or"),
    ("Date,Ammonia\n2026-03-12,0.25\n", "column 'Ammonia': No unit is told of ammonia"),
    ("Date,KH\n2026-03-12,5\n", "--column 'KH=kh in dKH'"),
    ("Date,pH,Mood\n2026-03-12,7,good\n", "column 'Mood': It is not clear what this column is"),
    ("Date,,pH\n2026-03-12,x,7\n", "--column 'column 2=MEANING'"),
    ("Day of test,pH\n2026-03-12,7\n", "No column tells the date"),
    ("Date,Timestamp,pH\n2026-03-12,2026-03-12,7\n", "Several columns tell a date"),
    ("Date\n2026-03-12\n", "No column tells a reading"),
    ("Date,Result\n2026-03-12,7\n", "One column names quantities, but none their values"),
    ('Date,Conductivity (uS/cm)\n2026-03-12,"1,234"\n', "'1,234' may be read in two ways"),
    ('Date,pH,KH (dKH)\n2026-03-12,7.2,"4,5"\n', "'7.2 and 4,5' may be read in two ways"),
]


@pytest.mark.parametrize(("text", "asked"), ASKED, ids=[asked[:30] for _, asked in ASKED])
def test_what_is_not_clear_is_asked_and_never_guessed(text: str, asked: str) -> None:
    table = read(text)
    assert table.rows == ()
    assert any(asked in line for line in said(table)), said(table)


BAD_CELLS = [
    ("2026-03-12,lots,7", "line 2, column 'NH4 (mg/l)': ammonia reading: 'lots' is not"),
    ("2026-03-12,-0.3,7", "line 2, column 'NH4 (mg/l)'"),
    ("2026-03-12,0.3,71", "line 2, column 'pH'"),
    ("2026-02-12,0.3,7", "line 2, column 'Date'"),
    ("2026-02-30,0.3,7", "line 2, column 'Date': '2026-02-30' is no date"),
    (",0.3,7", "line 2, column 'Date': The row has no date"),
    ("1026-03-12,0.3,7", "line 2, column 'Date'"),
    ("2026-03-12,0.3,7,8", "line 2: The row has 4 cells, but there are 3 columns"),
]


@pytest.mark.parametrize(("row", "problem"), BAD_CELLS, ids=[row for row, _ in BAD_CELLS])
def test_a_bad_cell_is_told_with_line_column_and_remedy_and_its_row_left_out(
    row: str, problem: str
) -> None:
    table = read(f"Date,NH4 (mg/l),pH\n{row}\n2026-03-13,0.5,7.2\n")
    lines = said(table)
    assert any(line.startswith(problem) for line in lines), lines
    assert [row.row for row in table.rows] == [3]


def test_a_told_column_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(TankFileErrors) as raised:
        read("Date,pH\n2026-03-12,7\n", columns=("PH level=ph",))
    assert finding_line(raised.value.problems[0]) == (
        "There is no column 'PH level'. There are: Date and pH."
    )


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("ammonja in mg/L", "table-meaning-near"),
        ("", "table-meaning"),
        ("wibble", "table-meaning"),
        ("date upwards", "table-order"),
        ("ammonia in furlongs", "unit.unknown"),
    ],
)
def test_a_meaning_that_is_none_is_refused(words: str, key: str) -> None:
    with pytest.raises(Refusal) as raised:
        told_meaning(words)
    assert raised.value.key == key


def test_other_columns_become_notes_or_nothing_as_told() -> None:
    text = "Date,pH,Mood,Colour\n2026-03-12,7,good,\n2026-03-13,7.1,,red\n"
    notes = [what.text for what in whats(read(text, rest="note")) if isinstance(what, Note)]
    assert notes == ["Mood: good", "Colour: red"]
    assert all(isinstance(what, Reading) for what in whats(read(text, rest="nothing")))


def test_a_meaning_is_told_again_in_its_own_words() -> None:
    for words in ("ammonia in mg/L as N kit=drop", "date day-first", "water-change in %", "note"):
        assert told_meaning(words).words == words
    guessed = guessed_meaning("NO3-N (mg/L)")
    assert guessed is not None
    assert guessed.words == "nitrate in mg/L as N"


def test_encodings_and_separators(tmp_path: Path) -> None:
    dull = "tr\N{LATIN SMALL LETTER U WITH DIAERESIS}b"
    line = f"Date;Temp (\N{DEGREE SIGN}C);Notes\n2026-03-12;24,5;{dull}\n"
    for encoding, told in (("utf-8-sig", ""), ("cp1252", "Windows-1252"), ("utf-16", "UTF-16")):
        file = tmp_path / f"{encoding}.csv"
        file.write_bytes(line.encode(encoding))
        assert sort_of_file(file) == "table"
        table = read_table(file, TANK)
        warmth, note = whats(table)
        assert (warmth.value.low, note.text) == (24.5, dull)
        assert [r.arguments["name"] for r in table.remarks if r.key == "table-encoding"] == (
            [told] if told else []
        )
    for separator in ",;\t|":
        text = f"Date{separator}pH\n2026-03-12{separator}7.2\n"
        assert table_from_text(text).separator == separator
    assert table_from_text("sep=;\nDate;a,b,c\n1;2\n").separator == ";"


@pytest.mark.parametrize(
    ("raw", "key"),
    [
        (b"", "table-empty"),
        (b"\n\n", "table-empty"),
        (b'Date,pH\n"2026-03-12,7\n', "table-quotes"),
        (bytes(range(256)) * 20, "table-no-text"),
        (b"a," * 300, "table-too-wide"),
    ],
)
def test_what_is_no_table_is_refused(raw: bytes, key: str) -> None:
    with pytest.raises(TankFileErrors) as raised:
        table_from_text(*decoded_table(raw))
    assert raised.value.problems[0].key == key


@pytest.mark.parametrize(
    ("cell", "order", "found"),
    [
        ("2026-03-12", "iso", date(2026, 3, 12)),
        ("2026-03-12T19:30:00+01:00", "iso", datetime.fromisoformat("2026-03-12T19:30:00+01:00")),
        ("2026/3/2", "iso", date(2026, 3, 2)),
        ("12.3.2026", "day-first", date(2026, 3, 12)),
        ("12.3.26 9:05", "day-first", datetime(2026, 3, 12, 9, 5)),
        ("3/12/2026 12:10 AM", "month-first", datetime(2026, 3, 12, 0, 10)),
        ("13/3/2026", "iso", date(2026, 3, 13)),
        ("12 March 2026", "iso", date(2026, 3, 12)),
        ("Mar 12, 2026 7:30 pm", "iso", datetime(2026, 3, 12, 19, 30)),
    ],
)
def test_dates_of_every_making(cell: str, order: str, found: date | datetime) -> None:
    assert read_date(cell, order) == found


@pytest.mark.parametrize(
    "cell", ["", "soon", "31/2/2026", "12/13/2026 x", "2026-13-01", "45000", "12.3.2026 25:00"]
)
def test_what_is_no_date_is_refused(cell: str) -> None:
    with pytest.raises(Refusal):
        read_date(cell, "day-first")


def test_the_order_of_dates_is_seen_where_any_cell_tells_it() -> None:
    assert order_of(["1/2/2026", "13/2/2026"]) == "day-first"
    assert order_of(["1/2/2026", "2/13/2026"]) == "month-first"
    assert order_of(["2/2/2026", "3/3/2026"]) == "iso"
    assert isinstance(order_of(["1/2/2026"]), Ambiguous)
    assert isinstance(order_of(["1/2/2026", "13/2/2026", "2/13/2026"]), Ambiguous)


@given(st.integers(0, 999_999), st.integers(0, 99))
def test_a_number_means_the_same_however_it_is_written(whole: int, hundredths: int) -> None:
    wanted = whole + hundredths / 100
    for text, decimal in (
        (f"{whole},{hundredths:02}", "comma"),
        (f"{whole}.{hundredths:02}", "point"),
        (f"{whole:,}.{hundredths:02}", "point"),
        (f"{whole:,}.{hundredths:02}".translate(str.maketrans(",.", ".,")), "comma"),
    ):
        assert decimal_of([text])[0] == decimal
        assert float(pointed(text, decimal)) == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("cell", "decimal"), [("7.3", "comma"), ("1,5", "point"), ("1.23,4.5", "comma")]
)
def test_a_number_of_another_kind_is_refused(cell: str, decimal: str) -> None:
    with pytest.raises(Refusal):
        pointed(cell, decimal)
