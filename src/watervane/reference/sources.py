"""The sources table: what a number or formula rests on, and how it was read."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

HOW_READ = ("full text", "abstract", "secondary", "from memory", "computed", "not a publication")
_WORDS = ("authors", "venue", "doi", "note", "background")
_FIELDS = {"title", "year", "how_read", *_WORDS}
_FILE = "sources.toml"


class TableError(ValueError):
    """A shipped table that breaks its own rules; names file and line."""


@dataclass(frozen=True, slots=True)
class Source:
    """One publication, or an honest stand-in for one."""

    key: str
    title: str
    how_read: str
    authors: str = ""
    year: int | None = None
    venue: str = ""
    doi: str = ""
    note: str = ""
    background: str = ""  # why it is kept though no value and no check names it

    @property
    def citation(self) -> str:
        """One line: authors, year, title, venue, DOI, and how it was read."""
        who = f"{self.authors} " if self.authors else ""
        when = f"({self.year}) " if self.year and self.authors else ""
        where = f", {self.venue}" if self.venue else ""
        doi = f", doi {self.doi}" if self.doi else ""
        return f"{who}{when}{self.title}{where}{doi} [{self.how_read}]"


def package_text(name: str) -> str:
    """Text of a file shipped with this package."""
    return resources.files("watervane.reference").joinpath("data", name).read_text("utf-8")


@cache
def sources() -> Mapping[str, Source]:
    """All sources by key."""
    return MappingProxyType(read_sources(package_text(_FILE), _FILE))


def source(key: str) -> Source:
    """The source of a key.

    Raises
    ------
    KeyError
        If no source has that key.
    """
    return sources()[key]


def read_sources(text: str, file: str) -> dict[str, Source]:
    """Read and validate a sources table.

    Raises
    ------
    TableError
        Names the file and the line of the entry that is wrong.
    """
    try:
        entries = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"{file}: {error}") from error
    return {key: _read(key, entry, f"{file}:{_line(text, key)}") for key, entry in entries.items()}


def _read(key: str, entry: object, place: str) -> Source:
    if not isinstance(entry, dict):
        raise TableError(f"{place}: '{key}' is not a source; write it as a table")
    unknown = sorted(set(entry) - _FIELDS)
    if unknown:
        raise TableError(f"{place}: source '{key}' has unknown fields: {', '.join(unknown)}")
    title, how_read, year = entry.get("title"), entry.get("how_read"), entry.get("year")
    if not isinstance(title, str) or not title:
        raise TableError(f"{place}: source '{key}' has no title")
    if how_read not in HOW_READ:
        raise TableError(f"{place}: source '{key}' must say how it was read: {', '.join(HOW_READ)}")
    if year is not None and not isinstance(year, int):
        raise TableError(f"{place}: the year of source '{key}' is no whole number")
    words = {name: str(entry.get(name, "")) for name in _WORDS}
    return Source(key, title, str(how_read), year=year, **words)


def _line(text: str, key: str) -> int:
    heads = (f"[{key}]", f'["{key}"]')
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip() in heads:
            return number
    return 1
