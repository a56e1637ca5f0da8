"""What a picture is made of: records, and the words others have chosen for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.records import Forecast, Tank


@dataclass(frozen=True, slots=True)
class Mark:
    """A labelled level line, in the unit of its panel."""

    value: float
    label: str


@dataclass(frozen=True, slots=True)
class Panel:
    """One series as it is drawn: ``drawn = factor * stored``."""

    series_key: str
    quantity: str
    title: str
    factor: float = 1.0
    from_zero: bool = True
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Flag:
    """An event on the shared time axis."""

    at: datetime
    letter: str
    kind: str
    label: str


@dataclass(frozen=True, slots=True)
class WordTable:
    """A title, a caption, headers and rows of text."""

    title: str
    caption: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class EmblemDay:
    """Twenty marks, one for each five per cent of the futures, some of them struck."""

    label: str
    struck: int
    text: str


@dataclass(frozen=True, slots=True)
class Emblem:
    """One watched level over the next seven days."""

    title: str
    days: tuple[EmblemDay, ...]


@dataclass(frozen=True, slots=True)
class Words:
    """Every sentence that stands beside or on a picture."""

    title: str
    subtitle: tuple[str, ...]
    description: str
    now_label: str
    guide: tuple[str, ...] = ()
    summary: tuple[str, ...] = ()
    brief: tuple[str, ...] = ()  # the summary, and what was taken for granted, for one screen
    brief_reasons: tuple[str, ...] = ()
    emblems: tuple[Emblem, ...] = ()
    emblem_guide: str = ""
    reasons_title: str = ""
    reasons: tuple[str, ...] = ()
    limits_title: str = ""
    limits: tuple[str, ...] = ()  # whom each stands for and where it comes from
    cautions: tuple[str, ...] = ()
    tables: tuple[WordTable, ...] = ()
    records: tuple[WordTable, ...] = ()  # what the keeper logged; for pages only


@dataclass(frozen=True, slots=True)
class Picture:
    """All a renderer needs; without ``since`` the time axis begins with the filling."""

    forecast: Forecast
    tank: Tank
    panels: tuple[Panel, ...]
    flags: tuple[Flag, ...]
    words: Words
    since: datetime | None = None

    @property
    def begins(self) -> datetime:
        """Where the time axis begins."""
        filled = self.forecast.filled
        return filled if self.since is None else max(self.since, filled)
