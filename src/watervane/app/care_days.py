"""The days on which a routine, a way back and its tests are due."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from watervane.records import Tank, WaterChange
from watervane.records.care import CareSchedule

YEAR = timedelta(days=364)
WEEK_D = 7


@dataclass(frozen=True, slots=True)
class DuePart:
    """One day's part of the care: ``return`` step, ``change``, ``top-off`` or ``test``.

    ``subject`` is the step's number, or what is tested. ``remind`` tells that leaving such days
    out passes a bound.
    """

    kind: str
    day: date
    subject: str = ""
    remind: bool = False

    @property
    def week(self) -> str:
        """By which it is known again when its day moves a little: the routine is weekly."""
        year, week, _ = self.day.isocalendar()
        return f"{year}-W{week:02d}"


def care_days(told: CareSchedule, tank: Tank | None, now: datetime) -> list[DuePart]:
    """Everything the care of a tank asks for within a year of its making, by day.

    Parameters
    ----------
    told
        The care.
    tank
        With its log: changes are counted on from the last one. Left out, from the care's own day.
    now
        The present; nothing before it is due.

    Notes
    -----
    A day rings where leaving every second change out was seen to pass a bound, a step of the way
    back where the tank is out of bounds without it. Topping off and tests stay silent: none of
    them was seen to pass a bound by being left out once.
    """
    first = told.as_of.date()
    found = [*_back(told, first)]
    begin = first + timedelta(days=len(found))
    if told.chosen is not None and told.chosen.routine.share > 0.0:
        found += _routine(told, tank, begin, first + YEAR)
    found += _tests(told, begin, first + YEAR)
    today = now.astimezone(told.as_of.tzinfo).date()
    order = {"return": 0, "change": 1, "top-off": 2, "test": 3}
    due = (each for each in found if each.day >= today)
    return sorted(due, key=lambda each: (each.day, order[each.kind], each.subject))


def missed(told: CareSchedule) -> bool:
    """Whether leaving every second change out passes a bound more often than is accepted."""
    return any(not each.keeps for each in told.neglect if each.kind == "every-second")


def _back(told: CareSchedule, first: date) -> Iterator[DuePart]:
    back = told.returning
    if back is None:
        return
    rings = "nitrate" in back.reasons or back.harm_without > told.allowed.acute
    for step in back.steps:
        yield DuePart("return", first + timedelta(days=step.day), str(step.day), rings)


def _routine(told: CareSchedule, tank: Tank | None, begin: date, end: date) -> Iterator[DuePart]:
    if told.chosen is None:
        return
    every = told.chosen.routine.every_days
    last = _last_change(tank, told.as_of)
    day = begin + timedelta(days=every)
    if last is not None and not (told.returning and told.returning.steps):
        day = max(last + timedelta(days=every), begin + timedelta(days=1))
    rings = missed(told)
    for days in range(0, (end - day).days + 1, WEEK_D):
        kind = "change" if days % every == 0 else "top-off"
        yield DuePart(kind, day + timedelta(days=days), "", rings and kind == "change")


def _tests(told: CareSchedule, begin: date, end: date) -> Iterator[DuePart]:
    """As often as a reading tells anything, at least a quarter of a year apart where none does."""
    for each in told.tests:
        step = 91 if each.days is None else max(each.days, WEEK_D)
        for days in range(step, (end - begin).days + 1, step):
            yield DuePart("test", begin + timedelta(days=days), each.quantity)


def _last_change(tank: Tank | None, now: datetime) -> date | None:
    if tank is None:
        return None
    zone = ZoneInfo(tank.time_zone)
    made = [e.at for e in tank.events if isinstance(e, WaterChange) and e.at <= now]
    return max(made).astimezone(zone).date() if made else None
