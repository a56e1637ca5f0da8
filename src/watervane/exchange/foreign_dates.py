"""Dates and times of a stranger's table. What may be read in two ways is asked about."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time

from watervane.exchange.meant import date_part, meant_date
from watervane.exchange.moments import FIRST_YEAR, LAST_YEAR
from watervane.exchange.problems import refuse, shown

ISO, DAY_FIRST, MONTH_FIRST = ORDERS = ("iso", "day-first", "month-first")
_PARTS = re.compile(
    r"(?P<a>[0-9]{1,2})(?P<sign>[-/.])(?P<b>[0-9]{1,2})(?P=sign)(?P<year>[0-9]{4}|[0-9]{2})"
    r"(?![0-9])"
)
_YEAR_FIRST = re.compile(r"(?P<year>[0-9]{4})[-/.](?P<b>[0-9]{1,2})[-/.](?P<c>[0-9]{1,2})(?![0-9])")
_CLOCK = re.compile(
    r"(?P<hour>[0-9]{1,2})(?::(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2})(?:[.,][0-9]+)?)?)?"
    r" ?(?P<half>[ap]\.?m\.?)?",
    re.IGNORECASE,
)
CENTURY = 2000  # of a year of two digits


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """A date that may be read in two ways, and nothing in its column tells which."""

    written: str
    day_first: date
    month_first: date


def order_of(cells: Iterable[str]) -> str | Ambiguous:
    """In which order the dates of a column are written, where its cells tell it."""
    doubtful: Ambiguous | None = None
    orders: set[str] = set()
    for cell in cells:
        match = _PARTS.match(cell.strip())
        if match is None:
            continue
        first = _day(match, DAY_FIRST)
        second = _day(match, MONTH_FIRST)
        if first and second and first != second:
            doubtful = doubtful or Ambiguous(match[0], first, second)
        elif first and not second:
            orders.add(DAY_FIRST)
        elif second and not first:
            orders.add(MONTH_FIRST)
    if len(orders) == 1:
        return orders.pop()
    # Where both orders are seen the column is mixed: the doubtful ones belong to neither.
    return ISO if doubtful is None else doubtful


def read_date(cell: str, order: str) -> date | datetime:
    """A date, or a moment where the cell tells a time as well; refuses what is none."""
    text = " ".join(cell.split())
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        pass
    else:
        return _within(moment if ":" in text else moment.date(), cell)
    for match, day in _days(text, order):
        rest = text[len(match) :].lstrip(" ,T")
        if not rest:
            return _within(day, cell)
        clock = read_clock_text(rest)
        if clock is not None:
            return _within(datetime.combine(day, clock), cell)
    return refuse("table-date", value=shown(cell), order=order)


def _days(text: str, order: str) -> Iterable[tuple[str, date]]:
    if (match := _PARTS.match(text)) is not None:
        for each in (order,) if order != ISO else (DAY_FIRST, MONTH_FIRST):
            if (day := _day(match, each)) is not None:
                yield match[0], day
    if (match := _YEAR_FIRST.match(text)) is not None:
        try:
            day = date(int(match["year"]), int(match["b"]), int(match["c"]))
        except ValueError:
            return
        yield match[0], day
    part = date_part(text)
    if (
        part
        and not part[0:4].isdigit()
        and (meant := meant_date(part))
        and _PARTS.match(part) is None
    ):
        yield part, meant


def _day(match: re.Match[str], order: str) -> date | None:
    day, month = (match["a"], match["b"]) if order == DAY_FIRST else (match["b"], match["a"])
    year = int(match["year"])
    try:
        return date(year if year > 99 else CENTURY + year, int(month), int(day))
    except ValueError:
        return None


def _within(at: date | datetime, cell: str) -> date | datetime:
    if not FIRST_YEAR <= at.year <= LAST_YEAR:
        refuse(
            "date-out-of-range",
            name="the date",
            value=shown(cell),
            first=str(FIRST_YEAR),
            last=str(LAST_YEAR),
        )
    return at


def read_clock_text(cell: str) -> time | None:
    """A time of day, ``19:30`` or ``7:30 pm``; ``None`` for anything else."""
    match = _CLOCK.fullmatch(cell.strip())
    if match is None or (match["minute"] is None and match["half"] is None):
        return None
    hour = int(match["hour"])
    if match["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match["half"][0].lower() == "p" else 0)
    try:
        return time(hour, int(match["minute"] or 0), int(match["second"] or 0))
    except ValueError:
        return None
