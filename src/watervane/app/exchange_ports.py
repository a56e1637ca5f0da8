"""What the use cases of moving tanks about need of the outside."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from watervane.app.unit_of_work import OpenJournal
from watervane.records import Entry, TableRead, Tank, TankHistory
from watervane.records.calendars import Calendar, CalendarEntry


@dataclass(frozen=True, slots=True)
class TableWords:
    """What a keeper tells of a table.

    ``columns`` are ``HEADER=MEANING``; ``dates`` is iso, day-first or month-first, ``decimal``
    point or comma, ``rest`` what becomes of columns nobody told of: note or nothing.
    """

    columns: tuple[str, ...] = ()
    dates: str | None = None
    decimal: str | None = None
    rest: str | None = None


class TableReader(Protocol):
    """Read a table for a tank; raise ``BadInput`` where it cannot be read as a whole."""

    def __call__(self, source: Path, tank: Tank, words: TableWords) -> TableRead: ...


class FileWriter(Protocol):
    """Write a file, whole or not at all; raise ``BadInput`` where it cannot be."""

    def __call__(self, target: Path, text: str | bytes, *, over: bool) -> None: ...


@dataclass(frozen=True, slots=True)
class ExchangePorts:
    """The real parts of moving tanks about, or the stand-ins of a test."""

    sort_of: Callable[[Path], str]  # journal, tank or table
    journal_text: Callable[[TankHistory], str]
    read_journal: Callable[[Path], TankHistory]
    journal_schema: Callable[[], Mapping[str, Any]]
    table_text: Callable[[Tank, Sequence[Entry]], str]
    read_table: TableReader
    table_text_of: Callable[[Path], str]  # of a file that is a table
    parse_tank: Callable[[str, str], Tank]  # its text, and its name in messages
    read_text: Callable[[Path], str]
    digest_of: Callable[[Path], str]
    write_file: FileWriter
    calendar_text: Callable[[Calendar], bytes]
    calendar_document: Callable[[Calendar], Mapping[str, Any]]
    earlier_calendar: Callable[[Path], tuple[CalendarEntry, ...]]  # of a file that may be there
    read_calendar: Callable[[bytes, str], tuple[CalendarEntry, ...]]  # with its name in messages
    open_copy: Callable[[Path], AbstractContextManager[OpenJournal]]
