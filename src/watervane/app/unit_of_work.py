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
    Job,
    Joined,
    KeptForecast,
    KeptResult,
    KeptTank,
    LogAsked,
    LogPart,
    Person,
    Photo,
    Reading,
    Receipt,
    Tank,
    TankHistory,
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

    def latest(self, key: str, each: int) -> tuple[Entry, ...]: ...

    def logged(self, key: str, asked: LogAsked) -> LogPart: ...

    def entry(self, number: int) -> tuple[str, Entry]: ...

    def taken_back(self, undoing: Receipt) -> tuple[Entry, ...]: ...

    def photos(self, number: int) -> tuple[Photo, ...]: ...

    def with_photos(self, key: str) -> frozenset[int]: ...

    def newest_entry(self, key: str) -> int: ...

    def written_since(self, key: str, number: int) -> int: ...

    def forecasts(self, key: str, newest: int | None = None) -> tuple[KeptForecast, ...]: ...

    def history(self, key: str) -> TankHistory: ...

    def result(self, key: str, kind: str) -> KeptResult | None: ...

    def jobs(self, key: str | None = None, newest: int | None = 100) -> tuple[Job, ...]: ...

    def job(self, key: str) -> Job: ...


class UnitOfWork(View, Protocol):
    """One write; ``earlier`` is what the same request came to when it was sent before."""

    @property
    def earlier(self) -> Receipt | None: ...

    def add_tank(self, tank: Tank, raw: str = "") -> Receipt: ...

    def describe(self, key: str, tank: Tank, raw: str = "") -> Receipt: ...

    def record(self, key: str, written: Sequence[Written]) -> Receipt: ...

    def correct(self, number: int, written: Written) -> Receipt: ...

    def join(self, history: TankHistory) -> Joined: ...

    def keep_forecast(self, key: str, forecast: KeptForecast) -> Receipt: ...

    def undo_entry(self, number: int) -> Receipt: ...

    def undo_last(self, key: str) -> Receipt: ...


class Asking(View, Protocol):
    """What a keeper may do with the jobs of their own tanks."""

    def ask(self, tank: str, kind: str, *, again: bool = False) -> Job: ...

    def cancel(self, key: str) -> Job: ...

    def retry(self, key: str) -> Job: ...

    def keep(self, tank: str, result: KeptResult) -> bool: ...


class Working(Protocol):
    """One step of a worker with the jobs of all keepers."""

    def take(self) -> tuple[Job, Tank] | None: ...

    def take_over(self) -> int: ...

    def clear_away(self) -> int: ...

    def beat(self, key: str, stage: str, progress: float) -> bool: ...

    def keep(self, key: str, result: KeptResult) -> bool: ...

    def done(self, key: str) -> bool: ...

    def failed(self, key: str, why: Finding) -> bool: ...

    def give_back(self, key: str) -> bool: ...

    def ask_for_news(self, model_version: str, since: datetime) -> Job | None: ...


class OpenJournal(Protocol):
    """A journal; every failure is a ``BadInput`` with one reason."""

    def asking(self, actor: Person, now: datetime) -> AbstractContextManager[Asking]: ...

    def working(self, worker: str, now: datetime) -> AbstractContextManager[Working]: ...

    def looking(self, actor: Person) -> AbstractContextManager[View]: ...

    def writing(
        self, actor: Person, *, what: str, asked: str = "", request: str | None = None
    ) -> AbstractContextManager[UnitOfWork]: ...


class EntryReader(Protocol):
    """A line of words as the entry it means; raise ``BadInput`` where it means none."""

    def __call__(
        self, kind: str, words: Sequence[str], at: date | datetime, tank: Tank
    ) -> tuple[Event | Habit | Reading, tuple[Finding, ...]]: ...


class Doubter(Protocol):
    """What is doubtful about an entry; a finding of severity ``problem`` cannot be."""

    def __call__(
        self, what: Event | Habit | Reading, tank: Tank, now: datetime
    ) -> tuple[Finding, ...]: ...


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
    begun: Callable[[], bool]  # whether there is one to read; asking makes none
    open: Callable[[], AbstractContextManager[OpenJournal]]
    kept_in: Callable[[Path], AbstractContextManager[None]]  # this file, for a while; workers too
    read_entry: EntryReader
    kind_of: Callable[[Event | Habit | Reading], str]
    describe: Describer
    doubts: Doubter
    doubts_of_tank: Callable[[Tank, datetime], tuple[Finding, ...]]
    tank_text: Callable[[Tank], str]
    read_photo: Callable[[Path], Photo]
    back_up: Callable[[Path], Copied]
    restore: Callable[[Path, bool], Copied]
    examine: Callable[[], Sequence[Finding]]
    installation: Callable[[], Sequence[Finding]]
    now: Callable[[], datetime]
