"""Rows of a log, and the days they fall on."""

from __future__ import annotations

import csv
import io
import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from watervane.exchange.problems import fail, shown
from watervane.records import Finding

INVENTED_DAY_ZERO = date(2001, 1, 1)  # a neutral date for logs that only count days
COLUMNS = (
    *("seq", "day", "date", "quantity", "value", "low", "high"),
    *("qualifier", "unit", "basis", "kit", "note"),
)
NEEDED = ("quantity", "value")
FIRST_HOUR, HOURS = 6.0, 12.0  # the part of a day its rows are spread over
LAST_DAY = 20_000.0
_UTC = ZoneInfo("UTC")


@dataclass(frozen=True, slots=True)
class LogRow:
    """One row as written, stripped; ``day`` counts as the source does."""

    line: int
    day: float | None
    date: date | None
    quantity: str
    value: str
    low: str
    high: str
    qualifier: str
    unit: str
    basis: str
    kit: str
    note: str

    @property
    def is_event(self) -> bool:
        """Something done to the tank."""
        return self.qualifier == "event"


def read_rows(text: str) -> tuple[list[LogRow], list[Finding]]:
    """Rows in the order of the table, and what is wrong with their days."""
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    rows: list[LogRow] = []
    problems: list[Finding] = []
    try:
        names = [name.strip().lower() for name in reader.fieldnames or ()]
        reader.fieldnames = names
        missing = [name for name in NEEDED if name not in names]
        if missing or not {"day", "date"} & set(names):
            lacking = missing or ["day or date"]
            fail("log-columns", line=1, missing=tuple(lacking), known=COLUMNS)
        for raw in reader:
            told = {name: (raw.get(name) or "").strip() for name in COLUMNS}
            if any(told.values()):
                rows.append(_row(told, reader.line_num, problems))
    except csv.Error as error:
        fail("log-csv", line=reader.reader.line_num, said=shown(str(error)))
    if not rows:
        fail("log-empty")
    return rows, problems


def _row(told: dict[str, str], line: int, problems: list[Finding]) -> LogRow:
    day, when = _day(told["day"], line, problems), _date(told["date"], line, problems)
    if not told["day"] and not told["date"]:
        problems.append(Finding("log-no-day", "problem", {}, line))
    texts = {name: told[name] for name in COLUMNS if name not in ("seq", "day", "date")}
    return LogRow(line=line, day=day, date=when, **texts)


def _day(text: str, line: int, problems: list[Finding]) -> float | None:
    if not text:
        return None
    value = number_of(text)
    if value is None or abs(value) > LAST_DAY:
        problems.append(Finding("log-day", "problem", {"value": shown(text)}, line))
        return None
    return value


def _date(text: str, line: int, problems: list[Finding]) -> date | None:
    if not text:
        return None
    try:
        found = date.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or not 1970 <= found.year <= 2100:
        problems.append(Finding("log-date", "problem", {"value": shown(text)}, line))
        return None
    return found


def number_of(text: str) -> float | None:
    """A plain finite number, or ``None``."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and "_" not in text else None


@dataclass(frozen=True)
class LogDays:
    """When the tank was filled, and the moment each row is put at."""

    day_zero: date
    filled: date
    first_day: float
    invented: bool
    moments: dict[int, datetime]  # line -> moment

    @classmethod
    def of(cls, rows: list[LogRow], problems: list[Finding]) -> LogDays:
        """Anchor the day count on the first row that has both a day and a date."""
        both = [(r.date, r.day) for r in rows if r.date is not None and r.day is not None]
        dates = [r.date for r in rows if r.date is not None]
        if both:
            day_zero = both[0][0] - timedelta(days=math.floor(both[0][1]))
        else:
            day_zero = min(dates, default=INVENTED_DAY_ZERO)
        counted = [_count(row, day_zero) for row in rows]
        known = [day for day in counted if day is not None]
        if len(known) < len(rows) and not problems:
            raise AssertionError("a row without a day has not been reported")
        first = min(known, default=0.0)
        # a count that begins at one calls the day of filling day one
        start = min(first, 1.0 if math.floor(first) == 1 else 0.0)
        filled = day_zero + timedelta(days=math.floor(start))
        moments = _spread(rows, counted, day_zero)
        return cls(day_zero, filled, first, not dates, moments)

    def moment(self, row: LogRow) -> datetime:
        """The moment a row is put at."""
        return self.moments[row.line]

    def noon(self, day: float) -> datetime:
        """Noon of a day of the count."""
        when = self.day_zero + timedelta(days=math.floor(day))
        return datetime.combine(when, time(12), _UTC)


def _count(row: LogRow, day_zero: date) -> float | None:
    if row.date is not None:
        return float((row.date - day_zero).days)
    return row.day


def _spread(rows: list[LogRow], counted: list[float | None], day_zero: date) -> dict[int, datetime]:
    """Rows of a day in their order: tests in a row share a moment, events have their own."""
    by_day: dict[int, list[LogRow]] = defaultdict(list)
    for row, day in zip(rows, counted, strict=True):
        if day is not None:
            by_day[math.floor(day)].append(row)
    moments = {}
    for day, todays in by_day.items():
        groups: list[list[LogRow]] = []
        seen: set[str] = set()
        for row in todays:
            again = row.quantity in seen  # the same test a second time is a later test
            if not groups or row.is_event != groups[-1][0].is_event or again:
                groups.append([])
                seen = set()
            groups[-1].append(row)
            seen.add(row.quantity)
        start = datetime.combine(day_zero + timedelta(days=day), time(), UTC)
        for place, group in enumerate(groups):
            hour = FIRST_HOUR + HOURS * (place + 0.5) / len(groups)
            at = (start + timedelta(seconds=round(3600.0 * hour))).astimezone(_UTC)
            moments.update(dict.fromkeys((row.line for row in group), at))
    return moments
