"""Dates and times by the keeper's own clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo, available_timezones

from watervane.exchange.problems import Refusal, nearest, refuse, shown

NOON = time(12)
FIRST_YEAR, LAST_YEAR = 1970, 2100
DEFAULT_ZONE = "UTC"


@dataclass(frozen=True, slots=True)
class Moment:
    """A point in time in the keeper's zone."""

    at: datetime
    hour_known: bool
    twice: bool = False  # the clock showed this hour twice; the first was taken


def read_zone(name: object) -> str:
    """A name of the time-zone table, such as ``Europe/Lisbon``."""
    if not isinstance(name, str):
        refuse("not-text", value=shown(name), example="Europe/Lisbon")
    try:
        if name and name != "localtime":
            ZoneInfo(name)
            return name
    except (KeyError, ValueError, OSError):
        pass
    near = nearest(name, available_timezones()) if name else None
    if near is None:
        refuse("zone-unknown", value=shown(name))
    raise Refusal("zone-unknown-near", value=shown(name), near=near)


def read_day(value: object) -> date:
    """A date without a clock time."""
    if isinstance(value, datetime) or not isinstance(value, date):
        refuse("date-in-quotes" if _dated(value) else "date-wanted", value=shown(value))
    return _in_range(value)


def read_clock(value: object) -> time:
    """A clock time without a date."""
    if not isinstance(value, time):
        refuse("clock-wanted", value=shown(value))
    return value


def read_moment(value: object, zone: ZoneInfo) -> Moment:
    """A date, a local date-time or one with an offset, by the clock of ``zone``."""
    if isinstance(value, datetime):
        _in_range(value)
        if value.tzinfo is not None:
            return Moment(value.astimezone(zone), hour_known=True)
        return local_moment(value, zone, hour_known=True)
    if isinstance(value, date):
        return local_moment(datetime.combine(_in_range(value), NOON), zone, hour_known=False)
    raise Refusal("date-in-quotes" if _dated(value) else "moment-wanted", value=shown(value))


def local_moment(naive: datetime, zone: ZoneInfo, *, hour_known: bool) -> Moment:
    """Place a wall-clock reading in its zone, refusing an hour the clocks skipped."""
    at = naive.replace(tzinfo=zone, fold=0)
    if at.astimezone(UTC).astimezone(zone).replace(tzinfo=None, fold=0) != naive:
        after = at.astimezone(UTC).astimezone(zone)
        refuse(
            "clock-gap",
            at=naive.isoformat(sep=" "),
            zone=zone.key,
            near=after.replace(tzinfo=None).isoformat(sep=" "),
        )
    twice = at.replace(fold=1).utcoffset() != at.utcoffset()
    return Moment(at, hour_known, twice)


def written_moment(at: datetime, zone: ZoneInfo, *, hour_known: bool) -> date | datetime:
    """The shortest way to write a moment that reads back the same."""
    local = at.astimezone(zone)
    if not hour_known and local.time() == NOON:
        return local.date()
    naive = local.replace(tzinfo=None, fold=0)
    if naive.replace(tzinfo=zone).utcoffset() != local.utcoffset():
        return local.replace(tzinfo=timezone(local.utcoffset() or timedelta()), fold=0)
    return naive


def _in_range(day: date) -> date:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        refuse("date-out-of-range", value=shown(day), first=str(FIRST_YEAR), last=str(LAST_YEAR))
    return day


def _dated(value: object) -> bool:
    if not isinstance(value, str):
        return False
    try:
        datetime.fromisoformat(value.strip())
    except ValueError:
        return False
    return True
