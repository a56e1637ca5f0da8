"""Entries as rows of a table, and rows as entries."""

from __future__ import annotations

import dataclasses
import zlib
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import Row

from watervane.journal.moments import in_zone, zone_name
from watervane.journal.plain import NAME_OF, NAMES, dumped, loaded
from watervane.journal.tables import DESCRIPTION, EVENT, HABIT, READING
from watervane.records import Entry, Event, Habit, KeptForecast, Photo, Reading, Tank, Written

_PHOTO = tuple(field.name for field in dataclasses.fields(Photo))
_FORECAST = tuple(
    field.name for field in dataclasses.fields(KeptForecast) if field.name != "made_at"
)
UNDERSTOOD = 4096  # rows kept as records, of all tanks
DOCUMENTS = 64  # kept as text
LOG = ("events", "habits", "readings", "owner")  # of a tank, kept elsewhere than in its description


def written_row(written: Written) -> dict[str, Any]:
    """The columns that hold what was written."""
    what = written.what
    if isinstance(what, Habit):
        return {**_event_row(what.template, written.raw), "kind": HABIT, "body": dumped(what)}
    if isinstance(what, Reading):
        return {
            **_moment_row(what),
            "kind": READING,
            "subject": what.quantity,
            "low": what.value.low,
            "high": what.value.high,
            "raw": written.raw or what.value.raw,
            "body": dumped(what),
        }
    return _event_row(what, written.raw)


def description_row(tank: Tank, raw: str) -> dict[str, Any]:
    """The columns that hold the description of a tank, without its log."""
    body = dumped(tank, leave_out=LOG)
    return {"kind": DESCRIPTION, "subject": tank.name, "raw": raw, "body": body}


def described(row: Row[Any], owner: str) -> Tank:
    """The tank of a description, its log still empty."""
    tank: Tank = loaded(row.body, Tank, {})
    return dataclasses.replace(tank, owner=owner)


def understood(row: Row[Any]) -> Event | Habit | Reading:
    """What was written, as a record again."""
    kind = {READING: Reading, HABIT: Habit}.get(row.kind) or NAMES[row.subject]
    return _understood(row.body, kind, row.at, row.zone, hour_known=row.hour_known)


@lru_cache(maxsize=UNDERSTOOD)
def _understood(
    body: str, kind: type, at: datetime, zone: str, *, hour_known: bool
) -> Event | Habit | Reading:
    """A row never changes, and pages read the same ones again and again."""
    apart = {"at": in_zone(at, zone), "hour_known": hour_known}
    found: Event | Habit | Reading = loaded(body, kind, apart)
    return found


def entry_of(row: Row[Any], *, standing: bool) -> Entry:
    """One row of an entry joined with its write."""
    return Entry(
        number=row.number,
        key=row.key,
        what=understood(row),
        raw=row.raw,
        corrects=row.corrects,
        written_at=row.written_at,
        written_by=row.actor,
        standing=standing,
    )


def photo_row(photo: Photo) -> dict[str, Any]:
    """The columns that hold a photo."""
    return {name: getattr(photo, name) for name in _PHOTO}


def kept_photo(row: Row[Any]) -> Photo:
    """A photo from its row."""
    return Photo(**{name: getattr(row, name) for name in _PHOTO})


def forecast_row(kept: KeptForecast) -> dict[str, Any]:
    """The columns that hold a forecast."""
    told = {name: getattr(kept, name) for name in _FORECAST}
    return {**told, "document": zlib.compress(kept.document.encode())}


@lru_cache(maxsize=DOCUMENTS)
def unpacked(document: bytes) -> str:
    """A document as text; pages read the newest ones again and again."""
    return zlib.decompress(document).decode()


def kept_forecast(row: Row[Any]) -> KeptForecast:
    """A forecast from its row joined with its write."""
    told = {name: getattr(row, name) for name in _FORECAST}
    told["document"] = unpacked(row.document)
    return KeptForecast(**told, made_at=row.written_at)


def _event_row(event: Event, raw: str) -> dict[str, Any]:
    return {
        **_moment_row(event),
        "kind": EVENT,
        "subject": NAME_OF[type(event)],
        "low": None,
        "high": None,
        "raw": raw or getattr(event, "raw", ""),
        "body": dumped(event),
    }


def _moment_row(what: Event | Reading) -> dict[str, Any]:
    return {"at": what.at, "zone": zone_name(what.at), "hour_known": what.hour_known}
