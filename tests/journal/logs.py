"""Small invented things to write down."""

from __future__ import annotations

import dataclasses
import hashlib
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from watervane.records import (
    Feed,
    KeptForecast,
    KeptResult,
    Note,
    Photo,
    Reading,
    Span,
    Tank,
    Written,
)
from watervane.units import parse_reading

ZONE = ZoneInfo("Europe/Lisbon")
BEGUN = datetime(2026, 3, 1, 9, 0, tzinfo=ZONE)
RESULT_AT = datetime(2026, 3, 20, 12, tzinfo=UTC)


def small_tank(name: str = "Reading room", **told: Any) -> Tank:
    return Tank(name=name, filled=date(2026, 3, 1), time_zone=ZONE.key, volume_l=57.0, **told)


def reading(
    value: str = "0.7 mg/L as N", *, day: float = 1.0, quantity: str = "ammonia"
) -> Reading:
    at = (BEGUN.astimezone(UTC) + timedelta(days=day)).astimezone(ZONE)
    return Reading(at=at, quantity=quantity, value=parse_reading(value, quantity))


def note(text: str, *, day: float = 1.0) -> Note:
    return Note(at=BEGUN + timedelta(days=day), text=text)


def feed(*, day: float = 1.0, raw: str = "1 pinch") -> Feed:
    return Feed(at=BEGUN + timedelta(days=day), mass_g=Span(0.02, 0.05), raw=raw)


def forecast(*, day: float = 20.0, newest_entry: int = 1) -> KeptForecast:
    """A forecast as the journal keeps it; its document is opaque to the journal."""
    return KeptForecast(
        as_of=BEGUN + timedelta(days=day),
        horizon_days=30,
        newest_entry=newest_entry,
        seed=2**31 - 1,
        members=1000,
        model_version="1",
        parameter_digest="abc",
        document='{"format": "watervane-forecast/1", "tank": "\N{GREEK SMALL LETTER ALPHA}"}',
    )


def result(*, newest_entry: int = 1, grade: str = "full", at: datetime = RESULT_AT) -> KeptResult:
    """A newest forecast as the journal keeps it."""
    return KeptResult(
        kind="forecast",
        grade=grade,
        as_of=at,
        current_until=at + timedelta(hours=12),
        newest_entry=newest_entry,
        seed=1,
        members=1000,
        model_version="1",
        parameter_digest="abc",
        document='{"format": "watervane-forecast/1", "tank": "\N{GREEK SMALL LETTER ALPHA}"}',
        made_at=at,
    )


def photo(data: bytes = b"pixels") -> Photo:
    """A photo as the journal keeps it."""
    return Photo("image/jpeg", 3, 2, hashlib.sha256(data).hexdigest(), data)


def written(*things: Any) -> list[Written]:
    return [Written(thing) for thing in things]


def without_lines(tank: Tank) -> Tank:
    """A tank whose entries no longer know their line of a file."""

    def bare(things: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(dataclasses.replace(thing, line=None) for thing in things)

    habits = tuple(
        dataclasses.replace(habit, template=dataclasses.replace(habit.template, line=None))
        for habit in tank.habits
    )
    return dataclasses.replace(
        tank, events=bare(tank.events), readings=bare(tank.readings), habits=habits
    )
