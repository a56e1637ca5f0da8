"""What is due for a tank, or what a blueprint plans, as entries of a calendar."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from watervane.app.care_days import DuePart, care_days
from watervane.records import (
    Act,
    AnimalsIn,
    Blueprint,
    Clean,
    Dose,
    Event,
    Forecast,
    Habit,
    MediaMoved,
    Tank,
    Today,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.records.calendars import Calendar, CalendarEntry
from watervane.records.care import CareSchedule
from watervane.wording import phrase
from watervane.wording.audience import on_page
from watervane.wording.blueprint_steps import dated_steps
from watervane.wording.calendars import left_out_text, planned_texts, step_texts, teaching_texts
from watervane.wording.care_due import care_texts

OURS = UUID("6f6d1f0a-6d0e-5c55-9a5e-0c2f7f6f4a11")  # all UIDs are made from it and what they name
DUE = (WaterChange, TopOff, Dose, Clean, MediaMoved, Treatment, AnimalsIn)
USUAL_DAYS = 60
WEEK = timedelta(days=7)
CURRENT = timedelta(days=3)  # after that a judgement or forecast speaks of another water
CARE_CURRENT = timedelta(days=92)  # after that it is to be asked anew
WORK_MINUTES = 20  # of planned work, house estimate


@dataclass(frozen=True, slots=True)
class DueTank:
    """A tank with its whole log, and what is kept of it; ``key`` tells it from all others.

    ``forecast`` and ``today`` are left out where entries were written after them; ``care`` is the
    last that was worked out.
    """

    key: str
    tank: Tank
    forecast: Forecast | None = None
    today: Today | None = None
    care: CareSchedule | None = None


@dataclass
class _Named:
    """Gives UIDs; what happens twice alike on a day is counted."""

    key: str
    seen: Counter[tuple[str, ...]] = field(default_factory=Counter)

    def uid(self, *parts: str) -> str:
        """The same for the same parts in the same order."""
        count = self.seen[parts]
        self.seen[parts] += 1
        return str(uuid5(OURS, "\n".join((self.key, *parts, str(count)))))


def due_calendar(due: DueTank, now: datetime, days: int = USUAL_DAYS) -> Calendar:
    """What is planned from today on, and what is worth doing by what is kept.

    Parameters
    ----------
    due
        The tank.
    now
        The present, aware.
    days
        How far ahead. [d]
    """
    tank = due.tank
    if tank.put_away is not None:
        return Calendar(phrase("calendar-name", tank=tank.name), ())
    zone = ZoneInfo(tank.time_zone)
    first = now.astimezone(zone).date()
    last = first + timedelta(days=days)
    named = _Named(due.key)
    with on_page():
        planned = [
            (_planned(due, event, now, named), over) for event, over in _events(tank, last, now)
        ]
        done = frozenset(each.uid for each, over in planned if each is not None and over)
        found = [
            *(each for each, over in planned if not over),
            *_steps(due, now, first, named),
            *_test(due, now, first, named),
            *_care(due, now, named, _judged_changes(due, now)),
        ]
    told = [each for each in found if each is not None and first <= each.day <= last]
    order = sorted(told, key=lambda each: (each.day, str(each.begins), each.uid))
    return Calendar(phrase("calendar-name", tank=tank.name), tuple(order), done)


def care_calendar(
    told: CareSchedule, tank: Tank, key: str, now: datetime, days: int = USUAL_DAYS
) -> Calendar:
    """The care of a tank by itself, from today on.

    Parameters
    ----------
    told
        As worked out.
    tank
        With its log: changes are counted on from the last one.
    key
        Tells it from all others.
    now
        The present, aware.
    days
        How far ahead. [d]
    """
    last = now.astimezone(told.as_of.tzinfo).date() + timedelta(days=days)
    with on_page():
        named = _Named(f"care\n{key}")
        found = [_cared(told, part, named) for part in care_days(told, tank, now)]
    return Calendar(
        phrase("calendar-name", tank=told.tank), tuple(e for e in found if e.day <= last)
    )


def _care(
    due: DueTank, now: datetime, named: _Named, judged: frozenset[date]
) -> Iterator[CalendarEntry]:
    """Days of the last care, while it is young and the log plans no changes of its own.

    On days ``judged`` to need a change of their own no second one is told.
    """
    told = due.care
    if told is None or now - told.as_of > CARE_CURRENT or care_held_back(due, now):
        return
    for part in care_days(told, due.tank, now):
        if not (part.kind in ("return", "change") and part.day in judged):
            yield _cared(told, part, named)


def _judged_changes(due: DueTank, now: datetime) -> frozenset[date]:
    """Days on which the newest judgement has water changed."""
    today = due.today
    if today is None or today.chosen is None or now - today.as_of > CURRENT:
        return frozenset()
    zone = ZoneInfo(due.tank.time_zone)
    changes = (act for act in today.chosen.acts if act.kind == "change")
    return frozenset(at.date() for act in changes for at in _times(act, zone))


def care_held_back(due: DueTank, now: datetime) -> bool:
    """Whether a care that would still count is left out for changes that the log plans itself.

    Parameters
    ----------
    due
        The tank.
    now
        The present, aware.
    """
    young = due.care is not None and now - due.care.as_of <= CARE_CURRENT
    return young and _changes_planned(due.tank, now)


def _cared(told: CareSchedule, part: DuePart, named: _Named) -> CalendarEntry:
    """Known again by its week, or by the number of a step: it moves rather than goes and comes."""
    place = part.subject if part.kind == "return" else part.week
    uid = named.uid("care", part.kind, part.subject, place)
    texts = care_texts(told, part.kind, part.subject, rings=part.remind)
    return CalendarEntry(uid, part.day, *texts, minutes=WORK_MINUTES, remind=part.remind)


def _changes_planned(tank: Tank, now: datetime) -> bool:
    """Whether the log plans changes itself: then it is the keeper's plan that counts."""
    today = now.astimezone(ZoneInfo(tank.time_zone)).date()
    return any(
        isinstance(each.template, WaterChange) and (each.until is None or each.until >= today)
        for each in tank.habits
    )


def plan_calendar(plan: Blueprint, filled: date) -> Calendar:
    """The steps of a blueprint, each on its usual day; its range stands in the reason.

    Parameters
    ----------
    plan
        As worked out.
    filled
        The day water goes in.
    """
    name = plan.wish.name
    named = _Named(f"blueprint\n{name}")
    title = phrase("calendar-plan-name", tank=name)
    if plan.timeline is None:
        return Calendar(title)
    with on_page():
        entries = [
            CalendarEntry(
                named.uid(step.key, str(step.arguments.get("number", ""))),
                filled + timedelta(days=math.floor(step.days.usual)),
                phrase("calendar-plan-step", tank=name, what=what),
                phrase("calendar-plan-why", when=when, what=what),
            )
            for step, when, what in dated_steps(plan)
        ]
    return Calendar(title, tuple(sorted(entries, key=lambda each: each.day)))


def _planned(due: DueTank, event: Event, now: datetime, named: _Named) -> CalendarEntry | None:
    tank = due.tank
    texts = planned_texts(tank.name, event)
    if texts is None:
        return None
    worth = _worth(due, event, now)
    title, why = texts[0], "\n".join(filter(None, (texts[1], worth)))
    at = event.at.astimezone(ZoneInfo(tank.time_zone))
    uid = named.uid("planned", type(event).__name__, _subject(event), at.date().isoformat())
    begins = at if event.hour_known else at.date()
    return CalendarEntry(uid, begins, title, why, minutes=WORK_MINUTES, remind=bool(worth))


def _worth(due: DueTank, event: Event, now: datetime) -> str:
    """Why a planned change is worth a reminder: left out, more is risked than is accepted."""
    today = due.today
    if today is None or not isinstance(event, WaterChange) or now - today.as_of > CURRENT:
        return ""
    if not today.as_of < event.at <= today.as_of + WEEK:
        return ""
    return left_out_text(today)


def _subject(event: Event) -> str:
    """What tells apart two of a kind on one day, and stays when the amount changes."""
    for name in ("substance", "part", "species"):
        if hasattr(event, name):
            return str(getattr(event, name))
    return ""


def _events(tank: Tank, last: date, now: datetime) -> Iterator[tuple[Event, bool]]:
    """Dated plans, and habits day by day; a dated event of the same kind overrides its day.

    With each whether it is over: what the log has at an hour of today that is gone by was done.
    """
    zone = ZoneInfo(tank.time_zone)
    first = now.astimezone(zone).date()
    dated = [each for each in tank.events if isinstance(each, DUE)]
    single = {(type(each), each.at.astimezone(zone).date()) for each in dated}
    for each in dated:
        if each.at.astimezone(zone).date() >= first:
            yield each, each.hour_known and each.at <= now
    for habit in tank.habits:
        template = habit.template
        if not isinstance(template, DUE):
            continue
        clock = template.at.timetz().replace(tzinfo=None)
        for day in _days(habit, first, last):
            if (type(template), day) not in single:
                yield replace(template, at=datetime.combine(day, clock, tzinfo=zone)), False


def _days(habit: Habit, first: date, last: date) -> Iterator[date]:
    """The days of a habit within two days, both included."""
    step = max(habit.every_days, 1e-6)
    end = last if habit.until is None else min(last, habit.until)
    count = max(0, math.floor((first - habit.start).days / step) - 1)
    while (day := habit.start + timedelta(days=round(count * step))) <= end:
        if day >= first:
            yield day
        count += 1


def _steps(due: DueTank, now: datetime, first: date, named: _Named) -> Iterable[CalendarEntry]:
    """Steps the newest judgement chose: there are some only where they are worth their work."""
    today = due.today
    if today is None or today.chosen is None or now - today.as_of > CURRENT:
        return
    zone = ZoneInfo(due.tank.time_zone)
    for act in today.chosen.acts:
        title, why = step_texts(due.tank.name, today, act)
        for at in _times(act, zone):
            uid = named.uid("step", act.kind, act.what)
            if at.date() >= first:
                yield CalendarEntry(
                    uid, at, title, why, max(5, math.ceil(act.minutes)), remind=True
                )


def _times(act: Act, zone: ZoneInfo) -> Iterator[datetime]:
    """By the wall clock: a step at seven stays at seven when summer time comes."""
    begins = act.at.astimezone(zone)
    for index in range(act.times):
        yield begins + timedelta(days=index * act.every_days)


def _test(due: DueTank, now: datetime, first: date, named: _Named) -> Iterable[CalendarEntry]:
    """The test that would teach most, where one is worth it."""
    forecast = due.forecast
    if forecast is None or now - forecast.as_of > CURRENT:
        return
    texts = teaching_texts(due.tank.name, forecast)
    told = forecast.next_test
    if texts is None or told is None or told.best is None:
        return
    at = told.best.at.astimezone(ZoneInfo(due.tank.time_zone))
    if at.date() >= first:
        yield CalendarEntry(named.uid("test"), at, *texts, remind=True)
