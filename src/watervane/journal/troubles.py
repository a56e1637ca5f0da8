"""What can go wrong with a journal, each as one key with its arguments."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

_BY_CODE = {
    sqlite3.SQLITE_FULL: "journal-disk-full",
    sqlite3.SQLITE_READONLY: "journal-read-only",
    sqlite3.SQLITE_PERM: "journal-read-only",
    sqlite3.SQLITE_CANTOPEN: "journal-cannot-open",
    sqlite3.SQLITE_CORRUPT: "journal-damaged",
    sqlite3.SQLITE_NOTADB: "journal-damaged",
    sqlite3.SQLITE_BUSY: "journal-busy",
    sqlite3.SQLITE_LOCKED: "journal-busy",
    sqlite3.SQLITE_IOERR: "journal-disk-error",
}
_BY_ERRNO = {
    errno.ENOSPC: "journal-disk-full",
    errno.EDQUOT: "journal-disk-full",
    errno.EFBIG: "journal-disk-full",
    errno.EROFS: "journal-read-only",
    errno.EACCES: "journal-read-only",
    errno.EPERM: "journal-read-only",
}


class JournalTrouble(Exception):
    """The journal cannot do what it was asked; nothing was written.

    Parameters
    ----------
    key : str
        Of the sentence that says what is wrong and what to do.
    arguments
        What the sentence names.
    """

    def __init__(self, key: str, **arguments: object) -> None:
        super().__init__(key)
        self.key = key
        self.arguments = arguments


@contextmanager
def explained(place: str) -> Iterator[None]:
    """Turn what a disk or a database server says into a trouble with a remedy."""
    try:
        yield
    except DBAPIError as error:
        raise _trouble(error.orig, place) from error
    except (sqlite3.Error, OSError) as error:
        raise _trouble(error, place) from error


def _trouble(error: BaseException | None, place: str) -> JournalTrouble:
    said = " ".join(str(error).split())[:200]
    if isinstance(error, sqlite3.Error):
        code = getattr(error, "sqlite_errorcode", None)
        key = _BY_CODE.get(code & 0xFF) if code is not None else None
    elif isinstance(error, OSError):
        key = _BY_ERRNO.get(error.errno or 0, "journal-cannot-open")
    else:
        key = "journal-server"
    if key is None:
        raise error if error is not None else JournalTrouble("journal-server")
    return JournalTrouble(key, place=place, said=said)
