"""The journal's real parts; what is slow to import is imported when it is first used."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from watervane.app import BadInput
from watervane.app.page_ports import CALENDARS
from watervane.app.unit_of_work import (
    Asking,
    Copied,
    JournalPorts,
    OpenJournal,
    UnitOfWork,
    View,
    Working,
)
from watervane.records import Event, Finding, Habit, Person, Photo, Reading, Tank

if TYPE_CHECKING:
    from watervane.journal import Contents, Journal
    from watervane.journal.held import HeldJournal

Block = TypeVar("Block")


def journal_ports() -> JournalPorts:
    """The parts a real run keeps tanks with."""
    return JournalPorts(
        name_of=name_of,
        begun=_begun,
        open=_open,
        kept_in=_kept_in,
        read_entry=_read_entry,
        kind_of=_kind_of,
        describe=_describe,
        doubts=_doubts,
        doubts_of_tank=_doubts_of_tank,
        tank_text=_tank_text,
        read_photo=_read_photo,
        back_up=_back_up,
        restore=_restore,
        examine=_examine,
        installation=_installation,
        now=_now,
    )


def name_of(source: Path) -> str | None:
    """The name of a tank of the journal, where a command was given no file."""
    return None if source.suffix or source.exists() else str(source)


def kept_tank(name: str) -> tuple[Tank, tuple[Finding, ...]]:
    """A tank of the journal by its name.

    Raises
    ------
    BadInput
        Where there is none.
    """
    with _open() as journal, journal.looking(Person()) as view:
        known = tuple(tank.name for tank in view.tanks())
        if name.casefold() not in map(str.casefold, known):
            key = "no-file-no-tank" if known else "no-file-no-journal"
            raise BadInput([Finding(key, "problem", {"name": name, "known": known})])
        return view.tank(view.key_of(name)), ()


class _Explained:
    """A journal whose troubles are told as bad input."""

    def __init__(self, journal: Journal) -> None:
        self._journal = journal

    def looking(self, actor: Person) -> AbstractContextManager[View]:
        return _told(self._journal.looking(actor))

    def writing(
        self, actor: Person, *, what: str, asked: str = "", request: str | None = None
    ) -> AbstractContextManager[UnitOfWork]:
        return _told(self._journal.writing(actor, what=what, asked=asked, request=request))

    def asking(self, actor: Person, now: datetime) -> AbstractContextManager[Asking]:
        return _told(self._journal.asking(actor, now))

    def working(self, worker: str, now: datetime) -> AbstractContextManager[Working]:
        return _told(self._journal.working(worker, now))


_held: list[HeldJournal] = []  # by a program that stays


@contextmanager
def held_open() -> Iterator[None]:
    """Keep the journal open between its uses, for a program that asks it again and again."""
    from watervane.journal import held

    one = held.HeldJournal()
    _held.append(one)
    try:
        yield
    finally:
        _held.remove(one)
        one.let_go()


def _begun() -> bool:
    """Whether there is a journal: its file is there, or a server keeps it."""
    from watervane.journal import usual_place

    if _held:
        return True
    with troubles_told():
        place = usual_place()
    return place.file is None or place.file.exists()


@contextmanager
def _open() -> Iterator[OpenJournal]:
    from watervane.journal import Journal

    if _held:
        with troubles_told():
            journal = _held[-1].journal()
        yield _Explained(journal)
        return
    with troubles_told():
        journal = Journal()
    with explained(journal) as opened:
        yield opened


@contextmanager
def _kept_in(file: Path) -> Iterator[None]:
    """Another journal for a while; processes that are started meanwhile work at it, too."""
    from watervane.journal import places

    before = os.environ.get(places.VARIABLE)
    os.environ[places.VARIABLE] = str(file)
    try:
        yield
    finally:
        if before is None:
            del os.environ[places.VARIABLE]
        else:
            os.environ[places.VARIABLE] = before


@contextmanager
def explained(journal: Journal) -> Iterator[OpenJournal]:
    """A journal for use cases, closed in the end."""
    try:
        yield _Explained(journal)
    finally:
        journal.close()


@contextmanager
def _told(block: AbstractContextManager[Block]) -> Iterator[Block]:
    with troubles_told(), block as inner:
        yield inner


@contextmanager
def troubles_told() -> Iterator[None]:
    """Tell what a journal cannot do as bad input."""
    from watervane.journal import JournalTrouble

    try:
        yield
    except JournalTrouble as trouble:
        raise BadInput([Finding(trouble.key, "problem", trouble.arguments)]) from trouble


@contextmanager
def _problems_told() -> Iterator[None]:
    from watervane.exchange import TankFileErrors

    try:
        yield
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _read_entry(
    kind: str, words: Sequence[str], at: date | datetime, tank: Tank
) -> tuple[Event | Habit | Reading, tuple[Finding, ...]]:
    from watervane.exchange import read_entry_words

    with _problems_told():
        return read_entry_words(kind, words, at, tank)


def _kind_of(what: Event | Habit | Reading) -> str:
    from watervane.exchange import kind_word

    return kind_word(what)


def _describe(words: Sequence[str], tank: Tank | None = None, name: str = "") -> Tank:
    from watervane.exchange import describe_tank

    with _problems_told():
        return describe_tank(words, tank, name)


def _doubts(what: Event | Habit | Reading, tank: Tank, now: datetime) -> tuple[Finding, ...]:
    from watervane.exchange import entry_doubts

    return entry_doubts(what, tank, now)


def _doubts_of_tank(tank: Tank, now: datetime) -> tuple[Finding, ...]:
    from watervane.exchange import tank_doubts

    return tank_doubts(tank, now)


def _tank_text(tank: Tank) -> str:
    from watervane.exchange import write_tank_file

    return write_tank_file(tank)


def _read_photo(file: Path) -> Photo:
    from watervane.journal import photo_from

    with troubles_told():
        return photo_from(file)


def _back_up(target: Path) -> Copied:
    from watervane.journal import back_up, usual_place
    from watervane.journal.places import sharing_folder

    file = sharing_folder(os.environ) / CALENDARS
    along = {CALENDARS: file.read_bytes()} if file.is_file() else {}
    with troubles_told():
        return _copied(back_up(usual_place(), target, along))


def _restore(copy: Path, over: bool) -> Copied:  # noqa: FBT001 - as its port has it
    from watervane.journal import restore, usual_place
    from watervane.journal.beside import carried, lay_beside
    from watervane.journal.places import sharing_folder
    from watervane.journal.troubles import explained

    with troubles_told():
        held, replaced = restore(copy, usual_place(), over=over)
        folder = sharing_folder(os.environ)
        with explained(str(folder)):
            files = carried(copy)
            # What was revoked here since the copy was made stays revoked.
            lay_beside(folder, {name: files[name] for name in (CALENDARS,) if name in files})
    return _copied(held, replaced)


def _copied(held: Contents, replaced: Path | None = None) -> Copied:
    return Copied(held.tanks, held.entries, replaced)


def _examine() -> Sequence[Finding]:
    from watervane.journal import examined, usual_place

    with troubles_told():
        return examined(usual_place())


def _installation() -> Sequence[Finding]:
    """The parts the package asks for, each looked for."""
    import sqlite3
    import sys
    from importlib import metadata

    from watervane import __version__

    missing = []
    for asked in metadata.requires("watervane") or ():
        name = re.split(r"[^A-Za-z0-9._-]", asked, maxsplit=1)[0]
        try:
            if "extra ==" not in asked:
                metadata.version(name)
        except metadata.PackageNotFoundError:
            missing.append(Finding("look-over-missing-part", "problem", {"part": name}))
    python = ".".join(map(str, sys.version_info[:3]))
    told = {"version": __version__, "python": python, "sqlite": sqlite3.sqlite_version}
    return missing or [Finding("look-over-installation", "info", told)]


def _now() -> datetime:
    return datetime.now(UTC)
