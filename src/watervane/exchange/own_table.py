"""A tank's log as a table of our own: one row an entry, one column a key of the tank file."""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import tomlkit

from watervane.exchange.cells import table_of, told
from watervane.exchange.csv_text import Row, TableText
from watervane.exchange.entry_words import READING_WORD, entry_kind, typed
from watervane.exchange.event_details import EventContext
from watervane.exchange.event_reader import read_event
from watervane.exchange.event_vocabulary import EVENT_KINDS, HABIT_KEYS, event_table
from watervane.exchange.event_writer import event_values
from watervane.exchange.forms import Context, Key, NumberRange, Table, When
from watervane.exchange.moments import NOON
from watervane.exchange.numbers import number_text
from watervane.exchange.positions import Path, Positions
from watervane.exchange.problems import Place, Problems, TankFileErrors, shown
from watervane.exchange.readings import read_readings
from watervane.exchange.tank_writer import reading_values, written_value
from watervane.exchange.vocabulary import READING
from watervane.exchange.volumes import check_volume
from watervane.records import (
    QUANTITY_UNITS,
    Entry,
    Event,
    Finding,
    Habit,
    Reading,
    TableRead,
    TakenRow,
    Tank,
    Written,
)
from watervane.reference import food_amounts

FIRST = ("at", "kind")
FIGURES = ("low", "high", "unit")  # of a reading's value, for reckoning; never read for themselves
LAST = ("hour_known", "words")
_OWN = tuple(dict.fromkeys(key.name for kind in EVENT_KINDS.values() for key in kind.keys))
COLUMNS = tuple(
    dict.fromkeys(
        (
            *FIRST,
            *("quantity", "value", *FIGURES, "diluted", "kit", "of"),
            *(key.name for key in HABIT_KEYS),
            *_OWN,
            "note",
            *LAST,
        )
    )
)
ALWAYS = ("at", "kind", "quantity", "value", "low", "high", "unit")
_SAME_SHARE = 1e-9  # figures that differ by less are the same


def own_table_text(tank: Tank, entries: Sequence[Entry]) -> str:
    """What stands in a tank's log as a table; columns nothing stands in are left out."""
    zone = ZoneInfo(tank.time_zone)
    rows = [_cells(entry, tank, zone) for entry in entries]
    used = {name for row in rows for name, cell in row.items() if cell}
    header = [name for name in COLUMNS if name in used or name in ALWAYS]
    return table_of(header, [[row.get(name, "") for name in header] for row in rows])


def _cells(entry: Entry, tank: Tank, zone: ZoneInfo) -> dict[str, str]:
    what = entry.what
    keys: tuple[Key, ...]
    if isinstance(what, Reading):
        values, keys = reading_values(what, zone), READING.keys
        cells = {"kind": READING_WORD, **_figures(what)}
        happened: Event | Reading = what
        own_words = what.value.raw
    else:
        values, keys = event_values(what, tank, zone)
        cells = {}
        happened = what.template if isinstance(what, Habit) else what
        own_words = getattr(happened, "raw", "")
    forms = {key.name: key.form for key in keys}
    cells |= {name: _cell(written_value(value, forms[name])) for name, value in values.items()}
    if not happened.hour_known and happened.at.astimezone(zone).time() != NOON:
        cells["hour_known"] = "no"
    if entry.raw != own_words:
        cells["words"] = entry.raw
    return cells


def _figures(reading: Reading) -> dict[str, str]:
    value = reading.value
    bounds = {"low": value.low, "high": value.high}
    cells = {name: number_text(bound) for name, bound in bounds.items() if bound is not None}
    return cells | ({"unit": QUANTITY_UNITS[reading.quantity]} if cells else {})


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat(sep=" ")
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, int | float):
        return repr(value).removesuffix(".0")
    return value if isinstance(value, str) else str(tomlkit.item(value).as_string())


class _RowPositions(Positions):
    """Every value of a row stands on the row's line."""

    def __init__(self, line: int) -> None:
        super().__init__()
        self._line = line

    def of(self, path: Path) -> tuple[int | None, int | None]:  # noqa: ARG002
        return self._line, None


class _RowProblems(Problems):
    """Findings that name the row's column."""

    def note(self, severity: str, key: str, path: Path, **arguments: object) -> None:
        column = next((str(part) for part in path if isinstance(part, str)), "")
        super().note(severity, key, path, table_column=column, **arguments)


def is_own(header: Sequence[str]) -> bool:
    """Whether a header is of our own kind of table."""
    return set(ALWAYS) <= {told(name) for name in header}


def read_own_table(text: TableText, tank: Tank) -> TableRead:
    """Read a table that `own_table_text` wrote, for a tank whose kits and volume it relies on."""
    header = [told(name) for name in text.header]
    unknown = [name for name in header if name not in COLUMNS]
    if unknown:
        told_of = {"unknown": tuple(unknown[:5]), "known": COLUMNS}
        raise TankFileErrors([Finding("table-own-columns", "problem", told_of, 1)])
    context = Context(ZoneInfo(tank.time_zone), {**food_amounts(), **tank.food_amounts})
    water_l = check_volume(tank.volume_l, tank.shape, tank.bed, Place(Problems(Positions())))
    reader = _OwnReader(tank, EventContext(context, tank.filled, water_l, tank.own_animals))
    rows = [reader.row(header, row) for row in text.rows]
    return TableRead((), tuple(filter(None, rows)), tuple(reader.bad), tuple(reader.remarks))


class _OwnReader:
    def __init__(self, tank: Tank, context: EventContext) -> None:
        self.tank, self.context = tank, context
        self.bad: list[Finding] = []
        self.remarks: list[Finding] = []

    def row(self, header: Sequence[str], row: Row) -> TakenRow | None:
        problems = _RowProblems(_RowPositions(row.line))
        place = Place(problems, (), "the row")
        if len(row.cells) > len(header):
            place.problem("table-row-long", count=len(row.cells), columns=len(header))
        cells = {name: told(cell) for name, cell in zip(header, row.cells, strict=False)}
        cells = {name: cell for name, cell in cells.items() if cell}
        words, known = cells.pop("words", ""), cells.pop("hour_known", "")
        what = None if problems.fatal else self._entry(cells, place)
        if what is not None and known == "no":
            what = _hour_unknown(what)
        if isinstance(what, Reading):
            _check_figures(cells, what, place)
        self.bad += problems.fatal
        if problems.fatal or what is None:
            return None
        self.remarks += problems.remarks
        return TakenRow(row.line, (Written(what, words),))

    def _entry(self, cells: dict[str, str], place: Place) -> Event | Habit | Reading | None:
        word = cells.pop("kind", "")
        try:
            kind = entry_kind(word)
        except TankFileErrors as error:
            for problem in error.problems:
                place.at("kind").problem(problem.key, **problem.arguments)
            return None
        if kind == READING_WORD:
            values = {n: cell for n, cell in cells.items() if n not in FIGURES}
            raw = {name: _value(cell, READING.key(name)) for name, cell in values.items()}
            # Without the index of a list in between, the column is the first word of the path.
            found = read_readings(
                [raw], place, self.context.values, self.tank.kits, self.tank.filled
            )
            return found[0] if found else None
        table = event_table(EVENT_KINDS[kind])
        raw = {name: _value(cell, table.key(name)) for name, cell in cells.items()}
        if kind == "note":
            raw.setdefault("text", "")
        return read_event({"kind": kind, **raw}, place, self.context)


def _value(cell: str, key: Key | None) -> Any:
    """A cell as the value a tank file would hold."""
    if key is None:
        return cell
    if isinstance(key.form, When):
        for form in (date.fromisoformat, datetime.fromisoformat, time.fromisoformat):
            try:
                return form(cell)
            except ValueError:
                continue
        return cell
    if isinstance(key.form, Table | NumberRange):
        try:
            return tomllib.loads(f"value = {cell}")["value"]
        except (tomllib.TOMLDecodeError, ValueError, RecursionError):
            return cell
    return typed(cell, key.form)


def _hour_unknown(what: Event | Habit | Reading) -> Event | Habit | Reading:
    if isinstance(what, Habit):
        template = dataclasses.replace(what.template, hour_known=False)
        return dataclasses.replace(what, template=template)
    return dataclasses.replace(what, hour_known=False)


def _check_figures(cells: dict[str, str], reading: Reading, place: Place) -> None:
    """Figures stand beside a value for reckoning; a changed one is not taken silently."""
    for name in ("low", "high"):
        bound = getattr(reading.value, name)
        if name not in cells:
            continue
        try:
            figure = float(cells[name].replace(",", "."))
        except ValueError:
            figure = float("nan")
        if bound is None or not abs(figure - bound) <= _SAME_SHARE * max(abs(bound), 1.0):
            told_of = {"value": shown(cells[name]), "told": shown(reading.value.raw)}
            place.at(name).problem("table-figures-differ", **told_of)
