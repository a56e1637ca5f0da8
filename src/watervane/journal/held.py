"""A journal that a server asks again and again, opened once."""

from __future__ import annotations

from pathlib import Path
from threading import Lock

from watervane.journal.places import usual_place
from watervane.journal.store import Journal


class HeldJournal:
    """The usual journal, kept open: what is asked of it is put into SQL once.

    Where another file lies in its place, as after a restore, that one is opened.
    """

    def __init__(self) -> None:
        self._lock = Lock()
        self._journal: Journal | None = None
        self._mark: object = None

    def journal(self) -> Journal:
        """The journal that lies at the usual place now.

        Raises
        ------
        JournalTrouble
            Where it cannot be opened.
        """
        place = usual_place()
        mark = (str(place), _which_file(place.file))
        with self._lock:
            if self._journal is None or mark != self._mark:
                self._close()
                self._journal, self._mark = Journal(place), mark
            return self._journal

    def let_go(self) -> None:
        """Close it, if it is open."""
        with self._lock:
            self._close()

    def _close(self) -> None:
        if self._journal is not None:
            self._journal.close()
            self._journal = None


def _which_file(file: Path | None) -> tuple[int, int] | None:
    """Which file lies there, whatever its name; none where it is yet to be made."""
    try:
        found = None if file is None else file.stat()
    except OSError:
        return None
    return None if found is None else (found.st_dev, found.st_ino)
