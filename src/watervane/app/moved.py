"""Texts whose dates are moved: what was written of one day is told as if of another."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

_MOMENT = re.compile(
    r"(?<![\d-])(\d{4}-\d{2}-\d{2})(T\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?)?(\+00:00|Z)?(?![\d-])"
)
_ZONE = re.compile(r'^time_zone = "UTC"$', re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Move:
    """So many days later, and from UTC to the same hour by the clock of another zone."""

    days: int
    time_zone: str

    def text(self, text: str) -> str:
        """Every date and moment of a text, ISO 8601, and the zone of a tank file."""
        moved = _MOMENT.sub(self._moment, text)
        return _ZONE.sub(f'time_zone = "{self.time_zone}"', moved)

    def moment(self, moment: datetime) -> datetime:
        """A moment told in UTC."""
        return self._at(moment.astimezone(UTC).replace(tzinfo=None))

    def _at(self, wall: datetime) -> datetime:
        return (wall + timedelta(days=self.days)).replace(tzinfo=ZoneInfo(self.time_zone))

    def _moment(self, told: re.Match[str]) -> str:
        day, clock, offset = told.groups()
        try:
            begun = date.fromisoformat(day)
            hour = time.fromisoformat(clock[1:]) if clock else time(0)
        except ValueError:
            return told[0]
        if offset and clock:
            return self._at(datetime.combine(begun, hour)).isoformat()
        return f"{begun + timedelta(days=self.days)}{clock or ''}"
