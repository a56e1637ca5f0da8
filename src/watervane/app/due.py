"""A tank's calendar: from a file or the journal, into a file or to who has subscribed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from watervane.app.calendar_changes import brought_forward
from watervane.app.calendars import (
    USUAL_DAYS,
    DueTank,
    care_held_back,
    due_calendar,
    plan_calendar,
)
from watervane.app.ports import Ports
from watervane.app.rounds import newest_foreseen
from watervane.app.tank_page import newest_judged
from watervane.app.use_cases import check
from watervane.records import Blueprint, Finding, Person
from watervane.records.calendars import Calendar
from watervane.records.care import CareSchedule
from watervane.records.questions import CARE

SUBSCRIBED = "calendar"  # what a subscribed one is called in messages


@dataclass(frozen=True, slots=True)
class Due:
    """What is due, and what was noticed on the way to it."""

    calendar: Calendar
    findings: tuple[Finding, ...] = ()


def what_is_due(
    actor: Person, source: Path, ports: Ports, now: datetime, days: int = USUAL_DAYS
) -> Due:
    """What is due for a tank of a file, or of the journal with what is kept of it.

    Parameters
    ----------
    actor
        Whose tank it is.
    source
        A tank file, or the name of a tank of the journal.
    ports
        The outside parts.
    now
        The present.
    days
        How far ahead. [d]

    Raises
    ------
    BadInput
        With every problem found.
    """
    name = ports.journal.name_of(source)
    if name is not None:
        with ports.journal.open() as journal, journal.looking(actor) as view:
            key = view.key_of(name)
        return Due(due_calendar(kept_due(actor, key, ports), now, days))
    checked = check(actor, source, ports)
    key = f"file\n{checked.tank.name}"
    return Due(due_calendar(DueTank(key, checked.tank), now, days), checked.findings)


def kept_due(actor: Person, key: str, ports: Ports) -> DueTank:
    """A tank of the journal with its newest forecast and judgement, where nothing came after.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tank = view.tank(key)
        foreseen = newest_foreseen(key, view, ports)
        judged = newest_judged(key, view, ports)
    return DueTank(
        key,
        tank,
        None if foreseen is None or foreseen.written_since else foreseen.forecast,
        None if judged is None or judged.written_since else judged.today,
        last_care(actor, key, ports),
    )


@dataclass(frozen=True, slots=True)
class DueOnPage:
    """What is due; ``care_left_out`` where the log plans changes in the place of its care."""

    calendar: Calendar
    care_left_out: bool


def due_on_page(actor: Person, key: str, ports: Ports) -> DueOnPage:
    """What a subscribed calendar of a tank of the journal would show.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    now, due = ports.journal.now().replace(microsecond=0), kept_due(actor, key, ports)
    return DueOnPage(due_calendar(due, now), care_held_back(due, now))


def last_care(actor: Person, key: str, ports: Ports) -> CareSchedule | None:
    """The care of a tank of the journal as it was worked out last."""
    kept = ports.jobs.ask.kept(CARE, actor.name, key)
    told = None if kept is None else kept.told
    return told if isinstance(told, CareSchedule) else None


def write_calendar(
    calendar: Calendar, file: Path, ports: Ports, now: datetime, *, over: bool
) -> Finding:
    """Write a calendar; one that is there is brought up to date where it may be replaced.

    Raises
    ------
    BadInput
        Where the file is there and may not be replaced, is none of ours, or cannot be written.
    """
    earlier = ports.exchange.earlier_calendar(file) if over else ()
    told = brought_forward(calendar, earlier, now)
    ports.exchange.write_file(file, ports.exchange.calendar_text(told), over=over)
    counts = {
        "file": str(file),
        "count": len(told.entries),
        "cancelled": sum(each.cancelled for each in told.entries),
    }
    return Finding("calendar-written", "info", counts)


def plan_calendar_text(plan: Blueprint, filled: date, ports: Ports) -> bytes:
    """The steps of a blueprint as the text of a calendar, handed out for the first time."""
    now = ports.journal.now().replace(microsecond=0)
    return ports.exchange.calendar_text(brought_forward(plan_calendar(plan, filled), (), now))


def subscribed_text(
    actor: Person, key: str, earlier: bytes, ports: Ports, days: int = USUAL_DAYS
) -> bytes:
    """The calendar of a tank for who subscribed to it.

    Parameters
    ----------
    actor
        Whose tank it is.
    key
        Of the tank.
    earlier
        What was handed out last time; empty the first time.
    ports
        The outside parts.
    days
        How far ahead. [d]

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    now = ports.journal.now().replace(microsecond=0)
    due = kept_due(actor, key, ports)
    before = ports.exchange.read_calendar(earlier, SUBSCRIBED) if earlier else ()
    today = now.astimezone(ZoneInfo(due.tank.time_zone)).date()
    told = brought_forward(due_calendar(due, now, days), before, now, today)
    return ports.exchange.calendar_text(told)
