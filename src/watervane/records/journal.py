"""What a keeper wrote, as the journal keeps it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from watervane.records.events import Event, Habit
from watervane.records.readings import Reading


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of one entry, without anything beside its pixels; ``digest`` is of ``data``."""

    media_type: str
    width_px: int
    height_px: int
    digest: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Written:
    """One thing to be kept, with the words it was told in and photos of it."""

    what: Event | Habit | Reading
    raw: str = ""
    photos: tuple[Photo, ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing kept; it is never changed, only corrected or undone by later ones.

    ``number`` counts in the order of keeping. ``corrects`` is the ``key`` of the entry this one
    stands in for. ``standing`` is false once a later entry corrected or undid it.
    """

    number: int
    key: str
    what: Event | Habit | Reading
    raw: str
    corrects: str | None
    written_at: datetime
    written_by: str
    standing: bool = True


@dataclass(frozen=True, slots=True)
class LogAsked:
    """Which entries of a tank are asked for, by when they happened, the latest first.

    ``kinds`` are records, `Reading` or events, empty for all; ``until`` is a moment they lie
    before; ``skip`` of them are passed over and ``count`` told.
    """

    kinds: frozenset[type] = frozenset()
    until: datetime | None = None
    skip: int = 0
    count: int = 50


@dataclass(frozen=True, slots=True)
class LogPart:
    """Entries that were asked for, the latest first, of how many there are in all.

    ``corrected`` are the numbers of those that another one took the place of.
    """

    entries: tuple[Entry, ...]
    total: int
    corrected: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class KeptTank:
    """A tank of the journal, as a list shows it; ``last_reading`` by the keeper's clock.

    ``put_away`` is the day its keeper put it away.
    """

    key: str
    name: str
    owner: str
    filled: date
    time_zone: str
    readings: int
    last_reading: datetime | None
    put_away: date | None = None


@dataclass(frozen=True, slots=True)
class Receipt:
    """What one write came to; the same write sent again gets the same receipt, ``repeated``."""

    tank: str
    entries: tuple[int, ...]
    repeated: bool = False


@dataclass(frozen=True, slots=True)
class KeptForecast:
    """A forecast as it was made; ``document`` is its published JSON text.

    ``newest_entry`` is the number of the last entry of the tank it knew of.
    """

    as_of: datetime
    horizon_days: int
    newest_entry: int
    seed: int
    members: int
    model_version: str
    parameter_digest: str
    document: str
    made_at: datetime | None = None
