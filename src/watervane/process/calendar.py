"""Local days as stretches of time, and habits as dated events."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from watervane.records import Event, Habit, Tank


class Calendar:
    """Converts between wall-clock moments and days since the fill date's midnight."""

    def __init__(self, filled: date, time_zone: str) -> None:
        self.zone = ZoneInfo(time_zone)
        self.filled = filled
        self._origin = self._midnight(filled)

    def _midnight(self, day: date) -> datetime:
        return datetime.combine(day, time(), self.zone).astimezone(ZoneInfo("UTC"))

    def days(self, moment: datetime) -> float:
        """Elapsed time from the fill date's local midnight. [d]"""
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=self.zone)
        gone: timedelta = moment.astimezone(ZoneInfo("UTC")) - self._origin
        return gone.total_seconds() / 86400.0

    def moment(self, days: float) -> datetime:
        """Local moment after some elapsed time."""
        return (self._origin + timedelta(days=days)).astimezone(self.zone)

    def date(self, day: int) -> date:
        """Calendar date of the day-th local day (0 is the fill date)."""
        return self.filled + timedelta(days=day)

    def bounds_d(self, day: int) -> tuple[float, float]:
        """Start and end of a local day, 23 to 25 hours apart. [d]"""
        start = self._midnight(self.date(day)) - self._origin
        end = self._midnight(self.date(day + 1)) - self._origin
        return start.total_seconds() / 86400.0, end.total_seconds() / 86400.0

    def at_clock_d(self, day: int, clock: time) -> float:
        """Elapsed time of a clock time on a local day. [d]"""
        return self.days(datetime.combine(self.date(day), clock, self.zone))


def events_through(tank: Tank, calendar: Calendar, last_day: int) -> list[Event]:
    """Every event from filling to a day, habits written out.

    A dated event of the same kind on a day replaces a habit's event there.
    """
    dated = {(type(e), calendar.moment(calendar.days(e.at)).date()) for e in tank.events}
    events = list(tank.events)
    for habit in tank.habits:
        for day in _habit_dates(habit, calendar, last_day):
            if (type(habit.template), day) not in dated:
                clock = habit.template.at.astimezone(calendar.zone).time()
                events.append(
                    replace(habit.template, at=datetime.combine(day, clock, calendar.zone))
                )
    events.sort(key=lambda e: calendar.days(e.at))
    return events


def _habit_dates(habit: Habit, calendar: Calendar, last_day: int) -> Iterator[date]:
    last = calendar.date(last_day)
    if habit.until is not None:
        last = min(last, habit.until)
    count = 0
    while True:
        day = habit.start + timedelta(days=round(count * habit.every_days))
        if day > last:
            return
        yield day
        count += 1
