"""Where a journal lies: a file in the keeper's data folder, or a PostgreSQL server."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from watervane.journal.troubles import JournalTrouble

VARIABLE = "WATERVANE_JOURNAL"
FILE_NAME, SHARING = "journal.sqlite", "sharing"
POSTGRESQL_DRIVER = "postgresql+pg8000"
_POSTGRESQL = ("postgres", "postgresql", POSTGRESQL_DRIVER)


@dataclass(frozen=True, slots=True)
class Place:
    """One of the two: the file of an embedded journal, or the address of a server."""

    file: Path | None = None
    url: URL | None = None

    def __str__(self) -> str:
        if self.file is not None:
            return str(self.file)
        return self.url.render_as_string(hide_password=True) if self.url is not None else ""


def usual_place(environment: Mapping[str, str] | None = None) -> Place:
    """Where the keeper's journal lies if nothing else is said.

    Parameters
    ----------
    environment
        Of the process; ``WATERVANE_JOURNAL`` names another file or a server.
    """
    told = os.environ if environment is None else environment
    named = told.get(VARIABLE, "").strip()
    return place_of(named) if named else Place(data_folder(told) / FILE_NAME)


def sharing_folder(environment: Mapping[str, str]) -> Path:
    """Where keys, devices and calendars lie: beside the journal's file.

    In the data folder where a server keeps the journal, or where its place cannot be told.
    """
    try:
        file = usual_place(environment).file
    except JournalTrouble:  # told where the journal is opened
        file = None
    return (data_folder(environment) if file is None else file.absolute().parent) / SHARING


def place_of(text: str) -> Place:
    """A file name, or the address of a PostgreSQL server.

    Raises
    ------
    JournalTrouble
        For any other address.
    """
    if "://" not in text:
        return Place(Path(text).expanduser())
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        raise JournalTrouble("journal-address", address=_without_password(text)) from None
    if url.drivername not in _POSTGRESQL:
        raise JournalTrouble("journal-address", address=url.render_as_string(hide_password=True))
    if not url.database:
        raise JournalTrouble(
            "journal-address-database", address=url.render_as_string(hide_password=True)
        )
    return Place(url=url.set(drivername=POSTGRESQL_DRIVER))


def data_folder(environment: Mapping[str, str], platform: str = sys.platform) -> Path:
    """The folder in which this system keeps a user's data."""
    home = Path(environment.get("HOME") or Path.home())
    if platform == "win32":
        return Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local") / "watervane"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "watervane"
    named = environment.get("XDG_DATA_HOME", "")
    base = Path(named) if named and Path(named).is_absolute() else home / ".local" / "share"
    return base / "watervane"


def _without_password(text: str) -> str:
    scheme, _, rest = text.partition("://")
    return f"{scheme}://{rest.rpartition('@')[2]}"[:120]
