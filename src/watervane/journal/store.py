"""Open a journal, look into it, write to it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

from sqlalchemy import Connection

from watervane.journal.asking import Asking
from watervane.journal.connections import reader, writer
from watervane.journal.looking import Looking
from watervane.journal.memory import Memory
from watervane.journal.places import Place, usual_place
from watervane.journal.schema import HEAD, bring_up, check_known, revision_of
from watervane.journal.troubles import JournalTrouble, explained
from watervane.journal.working import Working
from watervane.journal.writing import Writing
from watervane.records import Person


def _now() -> datetime:
    return datetime.now(UTC)


class Journal:
    """All that one or many keepers wrote.

    Parameters
    ----------
    place
        Where it lies; nothing is opened before it is used.
    now
        The clock that moments of writing are taken from; the order of entries does not
        depend on it.
    """

    def __init__(self, place: Place | None = None, now: Callable[[], datetime] = _now) -> None:
        self.place = place or usual_place()
        self._now = now
        self._told = str(self.place)
        self._up_to_date = False
        # Where others' numbers may come out of order, nothing is taken for unchanged.
        self._memory = Memory() if self.place.file is not None else None
        with explained(self._told):
            self._writer, self._reader = writer(self.place), reader(self.place)

    @contextmanager
    def looking(self, actor: Person) -> Iterator[Looking]:
        """A view of one moment of the journal, which nothing written meanwhile disturbs.

        Raises
        ------
        JournalTrouble
            Where the journal cannot be read.
        """
        with explained(self._told):
            if not self._up_to_date and not self._needs_nothing():
                self._bring_up()
            with self._reader.begin() as connection:
                yield Looking(connection, actor, self._memory)

    @contextmanager
    def writing(
        self, actor: Person, *, what: str, asked: str = "", request: str | None = None
    ) -> Iterator[Writing]:
        """One write, on the disk when the block has ended; nothing of it if it ends badly.

        Raises
        ------
        JournalTrouble
            Where the journal cannot be written.
        """
        with self._changing() as connection:
            now = self._now()
            yield Writing(connection, actor, request=request, asked=asked, what=what, now=now)

    @contextmanager
    def asking(self, actor: Person, now: datetime | None = None) -> Iterator[Asking]:
        """Ask for jobs, or call them off; one commit, and no entry."""
        with self._changing() as connection:
            yield Asking(connection, actor, now or self._now())

    @contextmanager
    def working(self, worker: str, now: datetime | None = None) -> Iterator[Working]:
        """One step of a worker; one commit, and no entry."""
        with self._changing() as connection:
            yield Working(connection, worker, now or self._now())

    @contextmanager
    def _changing(self) -> Iterator[Connection]:
        with explained(self._told):
            if not self._up_to_date:
                self._bring_up()
            with self._writer.begin() as connection:
                yield connection

    def close(self) -> None:
        """Let go of all connections."""
        self._writer.dispose()
        self._reader.dispose()

    def _bring_up(self) -> None:
        if self.place.file is not None:
            self.place.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        try:
            bring_up(self._writer, self.place)
        except JournalTrouble as trouble:
            trouble.arguments.setdefault("place", self._told)
            raise
        self._up_to_date = True

    def _needs_nothing(self) -> bool:
        """Whether the journal can be read as it is, which a read-only folder must allow."""
        if self.place.file is not None and not self.place.file.exists():
            return False
        with self._reader.begin() as connection:
            revision = revision_of(connection)
        if revision is None:
            return False
        check_known(revision, self.place)
        self._up_to_date = revision == HEAD
        return self._up_to_date
