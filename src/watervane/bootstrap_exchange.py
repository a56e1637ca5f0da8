"""The real parts of moving tanks about; what is slow to import is imported when first used."""

from __future__ import annotations

import dataclasses
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from watervane.app import BadInput
from watervane.app.exchange_ports import ExchangePorts, TableWords
from watervane.app.unit_of_work import OpenJournal
from watervane.bootstrap_journal import explained, troubles_told
from watervane.records import Entry, Finding, TableRead, Tank, TankHistory
from watervane.records.calendars import Calendar, CalendarEntry


def exchange_ports() -> ExchangePorts:
    """The parts a real run moves tanks with."""
    return ExchangePorts(
        sort_of=_sort_of,
        journal_text=_journal_text,
        read_journal=_read_journal,
        journal_schema=_journal_schema,
        table_text=_table_text,
        read_table=_read_table,
        table_text_of=_table_text_of,
        parse_tank=_parse_tank,
        read_text=_read_text,
        digest_of=_digest_of,
        write_file=_write_file,
        calendar_text=_calendar_text,
        calendar_document=_calendar_document,
        earlier_calendar=_earlier_calendar,
        read_calendar=_read_calendar,
        open_copy=_open_copy,
    )


@contextmanager
def _open_copy(copy: Path) -> Iterator[OpenJournal]:
    from watervane.journal import Journal, apart

    with tempfile.TemporaryDirectory() as folder:
        with troubles_told():
            journal = Journal(apart(copy, Path(folder)))
        with explained(journal) as opened:
            yield opened


@contextmanager
def _problems_told(source: Path | None = None) -> Iterator[None]:
    from watervane.exchange import TankFileErrors

    try:
        yield
    except TankFileErrors as error:
        told = str(source) if source is not None and len(error.problems) > 1 else None
        raise BadInput(error.problems, told) from error


def _sort_of(path: Path) -> str:
    from watervane.exchange import sort_of_file

    with _problems_told():
        return sort_of_file(path)


def _journal_text(history: TankHistory) -> str:
    from watervane.exchange import journal_text

    return journal_text(history)


def _read_journal(path: Path) -> TankHistory:
    from watervane.exchange import read_journal_file

    with _problems_told(path):
        return read_journal_file(path)


def _journal_schema() -> Mapping[str, Any]:
    from watervane.exchange import journal_schema

    return journal_schema()


def _table_text(tank: Tank, entries: Sequence[Entry]) -> str:
    from watervane.exchange import own_table_text

    return own_table_text(tank, entries)


def _read_table(source: Path, tank: Tank, words: TableWords) -> TableRead:
    from watervane.exchange import read_table

    told = {field.name: getattr(words, field.name) for field in dataclasses.fields(words)}
    with _problems_told(source):
        return read_table(source, tank, **told)


def _table_text_of(source: Path) -> str:
    from watervane.exchange import csv_text, file_sorts

    if _sort_of(source) != file_sorts.TABLE:
        raise BadInput([Finding("setup-table-none", "problem", {})])
    with _problems_told():
        return csv_text.decoded_table(source.read_bytes())[0]


def _parse_tank(text: str, name: str) -> Tank:
    from watervane.exchange import parse_tank_text

    with _problems_told(Path(name)):
        return parse_tank_text(text, name)


def _read_text(path: Path) -> str:
    from watervane.exchange import read_text

    with _problems_told():
        return read_text(path)


def _digest_of(path: Path) -> str:
    import hashlib

    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        why = error.strerror or str(error)
        raise BadInput([Finding("file-unreadable", "problem", {"why": why})]) from error


def _write_file(target: Path, text: str | bytes, *, over: bool) -> None:
    from watervane.exchange import write_whole

    with _problems_told():
        write_whole(target, text, over=over)


def _calendar_text(calendar: Calendar) -> bytes:
    from watervane.exchange import calendar_text

    return calendar_text.calendar_text(calendar)


def _calendar_document(calendar: Calendar) -> Mapping[str, Any]:
    from watervane.exchange import calendar_json

    return calendar_json.calendar_document(calendar)


def _earlier_calendar(file: Path) -> tuple[CalendarEntry, ...]:
    from watervane.exchange import calendar_text

    with _problems_told():
        return calendar_text.earlier_calendar(file)


def _read_calendar(data: bytes, name: str) -> tuple[CalendarEntry, ...]:
    from watervane.exchange import calendar_text

    with _problems_told():
        return calendar_text.read_calendar(data, name)
