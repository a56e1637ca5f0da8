"""A stranger's table as entries: each cell is read as the line a keeper would have told."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from datetime import date, datetime

from watervane.exchange.cells import unmarked
from watervane.exchange.csv_text import Row, TableText
from watervane.exchange.entry_words import READING_WORD, USUAL, read_entry_words
from watervane.exchange.foreign_dates import DAY_FIRST, Ambiguous, order_of, read_clock_text
from watervane.exchange.foreign_dates import read_date as read_date_cell
from watervane.exchange.foreign_meanings import (
    CELL_KINDS,
    DATE,
    EXAMPLES,
    NOTE,
    NOTHING,
    TIME,
    UNITLESS,
    Meaning,
    guessed_meaning,
    told_columns,
    told_meaning,
)
from watervane.exchange.foreign_numbers import decimal_of, has_unit, is_nothing, pointed
from watervane.exchange.problems import Refusal, TankFileErrors, refuse, shown
from watervane.records import (
    QUANTITY_UNITS,
    Finding,
    TableRead,
    TakenColumn,
    TakenRow,
    Tank,
    Written,
)

IONS = ("ammonia", "nitrite", "nitrate", "phosphate")
OF_THE_DATE = ("before-filling", "clock-gap", "date-out-of-range")  # told once a row
NUMBERED = (*QUANTITY_UNITS, *CELL_KINDS[:3], "value")


def read_foreign_table(
    text: TableText,
    tank: Tank,
    *,
    columns: Sequence[str] = (),
    dates: str | None = None,
    decimal: str | None = None,
    rest: str | None = None,
) -> TableRead:
    """Read a table whose columns are told as ``HEADER=MEANING`` or guessed from their headers.

    Parameters
    ----------
    text
        The table.
    tank
        Whose kits, volume and zone the cells are understood by.
    columns
        What was told of columns; the others are guessed.
    dates
        ``iso``, ``day-first`` or ``month-first``; left out, as the cells tell, and where they do
        not, that is a problem.
    decimal
        ``point`` or ``comma``; left out, as the cells tell.
    rest
        What becomes of columns that say nothing known: ``note`` or ``nothing``; left out, each is
        a problem.

    Returns
    -------
    TableRead
        Without rows where the columns are not clear.

    Raises
    ------
    TankFileErrors
        Where what was told does not fit the table.
    """
    return _Foreign(text, tank, rest, dates, decimal).read(columns)


class _Foreign:
    """One table on its way to entries."""

    def __init__(
        self, text: TableText, tank: Tank, rest: str | None, dates: str | None, decimal: str | None
    ) -> None:
        self.text, self.tank, self.rest = text, tank, rest
        self.dates, self.decimal = dates, decimal
        headers = [unmarked(header).strip() for header in text.header]
        self.headers = _distinct([h or f"column {i}" for i, h in enumerate(headers, start=1)])
        self.bad: list[Finding] = []
        self.remarks = list(text.remarks)
        self.meanings: dict[int, Meaning] = {}
        self.named: set[int] = set()  # columns that say what they are

    def read(self, columns: Sequence[str]) -> TableRead:
        try:
            told = told_columns(self.headers, columns)
        except Refusal as refusal:
            problem = Finding(refusal.key, "problem", {"name": "--column", **refusal.arguments})
            raise TankFileErrors([problem]) from refusal
        self.named = {i for i, header in enumerate(self.headers) if guessed_meaning(header)}
        self.named |= set(told)
        self._settle_columns(told)
        self._settle_decimal()
        self._settle_units()
        rows = [] if self.bad else [row for each in self.text.rows if (row := self._row(each))]
        taken = tuple(
            TakenColumn(header, self.meanings[i].words, self.meanings[i].told)
            for i, header in enumerate(self.headers)
            if i in self.meanings
        )
        return TableRead(taken, tuple(rows), tuple(self.bad), tuple(self.remarks))

    def _problem(self, key: str, at: str = "", **told: object) -> None:
        column = {"table_column": at} if at else {}
        self.bad.append(Finding(key, "problem", {**told, **column}, self._header_line))

    @property
    def _header_line(self) -> int:
        return min((row.line for row in self.text.rows), default=2) - 1

    def _settle_columns(self, told: dict[int, Meaning]) -> None:
        for index, header in enumerate(self.headers):
            meaning = told.get(index) or guessed_meaning(header)
            empty = not any(index < len(r.cells) and r.cells[index] for r in self.text.rows)
            if meaning is None and (self.rest is not None or empty):
                meaning = Meaning(self.rest if self.rest and not empty else NOTHING)
            if meaning is None:
                self._problem("table-unknown-column", header, known=EXAMPLES, header=header)
            else:
                self.meanings[index] = meaning
        dates = [i for i, meaning in self.meanings.items() if meaning.what == DATE]
        if len(dates) != 1:
            names = tuple(self.headers[i] for i in dates)
            self._problem("table-dates-many" if dates else "table-date-none", known=names)
            return
        self._settle_dates(dates[0])
        whats = [meaning.what for meaning in self.meanings.values()]
        if not any(what not in (DATE, TIME, NOTHING) for what in whats):
            self._problem("table-nothing-meant", known=EXAMPLES)
        if ("quantity" in whats) != ("value" in whats):
            self._problem("table-half-long")

    def _settle_dates(self, index: int) -> None:
        meaning = self.meanings[index]
        order = meaning.order or self.dates or order_of(self._cells(index))
        if isinstance(order, Ambiguous):
            told = {"value": order.written, "first": order.day_first, "second": order.month_first}
            header = self.headers[index]
            self._problem("table-dates-ambiguous", header, header=header, **told)
            order = DAY_FIRST
        self.meanings[index] = dataclasses.replace(meaning, order=order)

    def _settle_decimal(self) -> None:
        if self.decimal is not None:
            return
        cells = [
            cell
            for index, meaning in self.meanings.items()
            if meaning.what in NUMBERED
            for cell in self._cells(index)
        ]
        found, doubtful = decimal_of(cells)
        if found is None:
            self._problem("table-decimal-ambiguous", value=shown(doubtful))
        self.decimal = found

    def _settle_units(self) -> None:
        """A quantity needs its unit: in the header, as told, or in each cell."""
        for index, meaning in self.meanings.items():
            if meaning.unit or meaning.what in UNITLESS or meaning.what not in NUMBERED[:-1]:
                continue
            cells = [cell for cell in self._cells(index) if not is_nothing(cell)]
            if cells and not all(has_unit(cell) or cell.strip("< 0.,") == "" for cell in cells):
                header = self.headers[index]
                example = {"ammonia": "ammonia in mg/L as N"}.get(
                    meaning.what, f"{meaning.what} in {_example_unit(meaning.what)}"
                )
                basis = "-basis" if meaning.what in IONS else ""
                self._problem(
                    f"table-unit-none{basis}",
                    header,
                    header=header,
                    what=meaning.what,
                    example=example,
                )

    def _cells(self, index: int) -> Iterable[str]:
        return (
            unmarked(row.cells[index]).strip() for row in self.text.rows if index < len(row.cells)
        )

    def _row(self, row: Row) -> TakenRow | None:
        before = len(self.bad)
        if len(row.cells) > len(self.headers):
            told = {"count": len(row.cells), "columns": len(self.headers)}
            self.bad.append(Finding("table-row-long", "problem", told, row.line))
            return None
        cells = {i: unmarked(cell).strip() for i, cell in enumerate(row.cells)}
        at = self._moment(row, cells)
        if at is None:
            return None
        notes = (
            cells[i] if i in self.named else f"{self.headers[i]}: {cells[i]}"
            for i, meaning in self.meanings.items()
            if meaning.what == NOTE and cells.get(i)
        )
        note = "\n".join(notes)
        written = []
        for i in self.meanings:
            try:
                words = self._line(i, cells)
            except Refusal as refusal:
                self._cell_problem(row, i, refusal)
                continue
            found = self._entry(row, i, words, cells[i], at) if words else None
            written += [found] if found else []
        if note:
            index = next(i for i, m in self.meanings.items() if m.what == NOTE and cells.get(i))
            found = self._entry(row, index, (NOTE, f"text={note}"), note, at)
            written += [found] if found else []
        return TakenRow(row.line, tuple(written)) if len(self.bad) == before else None

    @property
    def _date(self) -> int:
        """The column that tells the date."""
        return next(i for i, meaning in self.meanings.items() if meaning.what == DATE)

    def _moment(self, row: Row, cells: dict[int, str]) -> date | datetime | None:
        index = self._date
        try:
            cell = cells.get(index, "")
            if not cell:
                refuse("table-date-empty")
            at: date | datetime = read_date_cell(cell, self.meanings[index].order)
        except Refusal as refusal:
            self._cell_problem(row, index, refusal)
            return None
        for i, meaning in self.meanings.items():
            if meaning.what == TIME and not is_nothing(cells.get(i, "")):
                clock = read_clock_text(cells[i])
                if clock is None:
                    self._cell_problem(row, i, Refusal("table-clock", value=shown(cells[i])))
                    return None
                at = datetime.combine(at, clock)
        return at

    def _line(self, index: int, cells: dict[int, str]) -> tuple[str, ...]:
        """The line that a cell tells, its kind first; empty where it tells nothing of its own."""
        meaning, cell = self.meanings[index], cells.get(index, "")
        if is_nothing(cell) or meaning.what in (DATE, TIME, NOTE, NOTHING, "kit"):
            return ()
        kits = [i for i, other in self.meanings.items() if other.what == "kit"]
        kit = [f"kit={cells[i]}" for i in kits if cells.get(i)]
        if meaning.what in NUMBERED:
            cell = _with_unit(pointed(cell, self.decimal or "point"), meaning.unit)
        if meaning.what in QUANTITY_UNITS:
            line = (f"quantity={meaning.what}", f"value={cell}", *meaning.more, *kit)
            return (READING_WORD, *line)
        if meaning.what == "value":
            return self._long(cells, cell, (*meaning.more, *kit))
        if meaning.what in CELL_KINDS:
            return (meaning.what, f"{USUAL[meaning.what][0]}={cell}", *meaning.more)
        return ()

    def _long(self, cells: dict[int, str], value: str, more: tuple[str, ...]) -> tuple[str, ...]:
        """A row that tells one reading: its quantity and unit stand in cells of their own."""
        by_what = {meaning.what: cells.get(i, "") for i, meaning in self.meanings.items()}
        quantity = by_what["quantity"]
        meaning = guessed_meaning(quantity)
        unit = by_what.get("unit", "")
        if meaning is not None and meaning.what in QUANTITY_UNITS:
            quantity = meaning.what
            unit = told_meaning(f"{quantity} in {unit}").unit if unit else meaning.unit
        line = (f"quantity={quantity}", f"value={_with_unit(value, unit)}")
        return (READING_WORD, *line, *more)

    def _entry(
        self,
        row: Row,
        index: int,
        line: tuple[str, ...],
        cell: str,
        at: date | datetime,
    ) -> Written | None:
        kind, *words = line
        try:
            what, remarks = read_entry_words(kind, words, at, self.tank)
        except TankFileErrors as error:
            for problem in error.problems:
                of_date = problem.key in OF_THE_DATE
                self._cell_problem(row, self._date if of_date else index, problem)
            return None
        self.remarks += [
            dataclasses.replace(
                remark,
                line=row.line,
                arguments={**remark.arguments, "table_column": self.headers[index]},
            )
            for remark in remarks
        ]
        return Written(what, f"{self.headers[index]}: {cell}")

    def _cell_problem(self, row: Row, index: int, why: Refusal | Finding) -> None:
        told = {"name": "the cell", **why.arguments, "table_column": self.headers[index]}
        problem = Finding(why.key, "problem", told, row.line)
        if problem.key not in OF_THE_DATE or not self._told_of(row, problem.key):
            self.bad.append(problem)

    def _told_of(self, row: Row, key: str) -> bool:
        return any(problem.line == row.line and problem.key == key for problem in self.bad)


def _with_unit(cell: str, unit: str) -> str:
    """A number with the unit of its column; one of its own in the cell comes first."""
    return cell if not unit or has_unit(cell) else f"{cell} {unit}"


def _example_unit(what: str) -> str:
    units = {"kh": "dKH", "gh": "dGH", "temperature": "degC", "conductivity": "uS/cm"}
    return {**units, "feed": "g", "water-change": "%", "top-off": "L"}.get(what, "mg/L")


def _distinct(headers: Sequence[str]) -> tuple[str, ...]:
    """Headers, the second of one name as ``NAME (2)``."""
    seen: dict[str, int] = {}
    found = []
    for header in headers:
        seen[header] = seen.get(header, 0) + 1
        found.append(header if seen[header] == 1 else f"{header} ({seen[header]})")
    return tuple(found)
