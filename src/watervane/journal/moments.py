"""Moments as a database keeps them: UTC, with the keeper's zone beside."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo

from sqlalchemy import DateTime
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator


class UtcMoment(TypeDecorator[datetime]):
    """An aware moment, kept as UTC without a zone: every database has that alike."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        return None if value is None else value.replace(tzinfo=UTC)


def zone_name(at: datetime) -> str:
    """The zone of an aware moment: a name of the time-zone table, or an offset."""
    zone = at.tzinfo
    if isinstance(zone, ZoneInfo) and zone.key:
        return zone.key
    offset = at.utcoffset()
    if offset is None:
        raise ValueError("a moment without a zone cannot be kept")
    return "UTC" if not offset else f"{offset.total_seconds():+.0f} s"


@lru_cache(maxsize=256)
def zone_of(name: str) -> tzinfo:
    """The zone that `zone_name` named."""
    if name.endswith(" s"):
        return timezone(timedelta(seconds=float(name.removesuffix(" s"))))
    return ZoneInfo(name)


def in_zone(at_utc: datetime, name: str) -> datetime:
    """A kept moment by the keeper's clock."""
    return at_utc.astimezone(zone_of(name))
