"""All that was ever written about one tank, as it travels between journals."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.records.journal import Entry, KeptForecast, Photo


@dataclass(frozen=True, slots=True)
class WriteMade:
    """One write: who made it, by which name of their own, and the digest of what was asked."""

    key: str
    actor: str
    request: str
    digest: str
    what: str
    written_at: datetime


@dataclass(frozen=True, slots=True)
class EntryMade:
    """One entry as it was written; ``body`` is JSON text of what was understood.

    ``kind`` is ``tank`` (a description), ``reading``, ``event``, ``habit`` or ``undo``;
    ``corrects`` the key of the entry that is corrected or undone.
    """

    key: str
    write: str
    kind: str
    corrects: str | None
    at: datetime | None  # UTC
    zone: str | None
    hour_known: bool | None
    subject: str | None
    low: float | None
    high: float | None
    raw: str
    body: str


@dataclass(frozen=True, slots=True)
class ForecastMade:
    """A stored forecast; ``knew`` is the key of the last entry it knew of."""

    key: str
    write: str
    knew: str | None
    forecast: KeptForecast


@dataclass(frozen=True, slots=True)
class PhotoMade:
    """A photo and the key of the entry it belongs to."""

    key: str
    entry: str
    photo: Photo


@dataclass(frozen=True, slots=True)
class TankHistory:
    """One tank from its first description on, in the order it was written."""

    key: str
    name: str
    write: str
    writes: tuple[WriteMade, ...]
    entries: tuple[EntryMade, ...]
    forecasts: tuple[ForecastMade, ...] = ()
    photos: tuple[PhotoMade, ...] = ()


@dataclass(frozen=True, slots=True)
class Clash:
    """Two journals that say different things of the same; ``standing`` is what counts now.

    ``kind`` is ``description``, ``correction``, ``undone`` or ``request``.
    """

    kind: str
    standing: str
    other: str
    entry: Entry | None = None


@dataclass(frozen=True, slots=True)
class Joined:
    """What came of joining one tank's history with a journal.

    ``added`` counts entries that were new here, ``same`` those that both had, ``twins`` those
    that both were told apart from each other and that count once.
    """

    tank: str
    name: str
    new_tank: bool
    added: int
    same: int
    twins: int
    forecasts: int
    photos: int
    clashes: tuple[Clash, ...] = ()
