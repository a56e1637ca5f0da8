"""What the use cases need of a journal, as protocols; each block of writing is one commit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Protocol

from watervane.records import (
    Entry,
    Event,
    Finding,
    Habit,
    KeptForecast,
    KeptTank,
    Person,
    Photo,
    Reading,
    Receipt,
    Tank,
    Written,
)


class View(Protocol):
    """One moment of a journal, as one person may see it."""

    def tanks(self) -> tuple[KeptTank, ...]: ...

    def key_of(self, name: str) -> str: ...

    def description(self, key: str) -> Tank: ...

    def tank(self, key: str) -> Tank: ...

    def entries(
        self, key: str, newest: int | None = None, *, all_of_them: bool = False
    ) -> tuple[Entry, ...]: ...

    def entry(self, number: int) -> tuple[str, Entry]: ...

    def taken_back(self, undoing: Receipt) -> tuple[Entry, ...]: ...

    def photos(self, number: int) -> tuple[Photo, ...]: ...

    def newest_entry(self, key: str) -> int: ...

    def forecasts(self, key: str, newest: int | None = None) -> tuple[KeptForecast, ...]: ...


class UnitOfWork(View, Protocol):
    """One write; ``earlier`` is what the same request came to when it was sent before."""

    @property
    def earlier(self) -> Receipt | None: ...

    def add_tank(self, tank: Tank, raw: str = "") -> Receipt: ...

    def describe(self, key: str, tank: Tank, raw: str = "") -> Receipt: ...

    def record(self, key: str, written: Sequence[Written]) -> Receipt: ...

    def correct(self, number: int, written: Written) -> Receipt: ...

    def keep_forecast(self, key: str, forecast: KeptForecast) -> Receipt: ...

    def undo_entry(self, number: int) -> Receipt: ...

    def undo_last(self, key: str) -> Receipt: ...


class OpenJournal(Protocol):
    """A journal; every failure is a ``BadInput`` with one reason."""

    def looking(self, actor: Person) -> AbstractContextManager[View]: ...

    def writing(
        self, actor: Person, *, what: str, asked: str = "", request: str | None = None
    ) -> AbstractContextManager[UnitOfWork]: ...


class EntryReader(Protocol):
    """A line of words as the entry it means; raise ``BadInput`` where it means none."""

    def __call__(
        self, kind: str, words: Sequence[str], at: date | datetime, tank: Tank
    ) -> tuple[Event | Habit | Reading, tuple[Finding, ...]]: ...


class Describer(Protocol):
    """A description made or changed by words; raise ``BadInput`` where it cannot be."""

    def __call__(self, words: Sequence[str], tank: Tank | None = None, name: str = "") -> Tank: ...


@dataclass(frozen=True, slots=True)
class Copied:
    """A copy of a journal that was read back, and where the journal before it was put."""

    tanks: int
    entries: int
    replaced: Path | None = None


@dataclass(frozen=True, slots=True)
class JournalPorts:
    """The real parts of keeping, or the stand-ins of a test."""

    name_of: Callable[[Path], str | None]  # of a tank of the journal, where it is no file
    open: Callable[[], AbstractContextManager[OpenJournal]]
    read_entry: EntryReader
    kind_of: Callable[[Event | Habit | Reading], str]
    describe: Describer
    tank_text: Callable[[Tank], str]
    read_photo: Callable[[Path], Photo]
    back_up: Callable[[Path], Copied]
    restore: Callable[[Path, bool], Copied]
    examine: Callable[[], Sequence[Finding]]
    installation: Callable[[], Sequence[Finding]]
    now: Callable[[], datetime]
