"""Calendars as iCalendar text (RFC 5545), and read back to number what changes.

Moments are written in UTC, so that no reader needs a table of summer times.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from icalendar import Alarm, Event, vText
from icalendar import Calendar as Document

from watervane.exchange.problems import fail, shown
from watervane.records.calendars import Calendar, CalendarEntry

MAKER = "-//Watervane//Calendar//EN"
BEFORE = timedelta(minutes=-30)  # of a reminder of something with a clock time
MORNING = timedelta(hours=9)  # on the day itself
LOOKED_AGAIN = timedelta(hours=6)


def calendar_text(calendar: Calendar) -> bytes:
    """Write a calendar.

    Parameters
    ----------
    calendar
        Every entry stamped.

    Returns
    -------
    bytes
        UTF-8, folded, lines ended by CR LF.
    """
    document = Document()
    for name, told in (
        ("prodid", MAKER),
        ("version", "2.0"),
        ("calscale", "GREGORIAN"),
        ("method", "PUBLISH"),
        ("name", vText(calendar.name)),  # RFC 7986
        ("x-wr-calname", vText(calendar.name)),
    ):
        document.add(name, told)
    document.add("refresh-interval", LOOKED_AGAIN, parameters={"VALUE": "DURATION"})
    for entry in calendar.entries:
        document.add_component(_event(entry))
    return bytes(document.to_ical())


def read_calendar(data: bytes, name: str) -> tuple[CalendarEntry, ...]:
    """The entries of a calendar of ours.

    Parameters
    ----------
    data
        As written by `calendar_text`.
    name
        Of the file, for messages.

    Raises
    ------
    TankFileErrors
        ``calendar-foreign`` where it is none of ours or cannot be read.
    """
    try:
        document = Document.from_ical(data)
        if str(document.get("prodid", "")) != MAKER:
            fail("calendar-foreign", file=shown(name))
        return tuple(_entry(event) for event in document.walk("VEVENT"))
    except (ValueError, KeyError, TypeError, AttributeError):
        fail("calendar-foreign", file=shown(name))


def earlier_calendar(file: Path) -> tuple[CalendarEntry, ...]:
    """What was handed out in a file; nothing where there is none yet.

    Raises
    ------
    TankFileErrors
        Where it cannot be read or is no calendar of ours.
    """
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        return ()
    except OSError as error:
        fail("file-unreadable", why=shown(error.strerror or str(error)))
    return read_calendar(data, str(file))


def _event(entry: CalendarEntry) -> Event:
    event = Event()
    stamped = entry.stamped or datetime.now(UTC)
    event.add("uid", entry.uid)
    event.add("dtstamp", stamped.astimezone(UTC))
    event.add("last-modified", stamped.astimezone(UTC))
    event.add("sequence", entry.sequence)
    event.add("status", "CANCELLED" if entry.cancelled else "CONFIRMED")
    if isinstance(entry.begins, datetime):
        begins = entry.begins.astimezone(UTC).replace(microsecond=0)
        event.add("dtstart", begins)
        event.add("dtend", begins + timedelta(minutes=max(1, entry.minutes)))
    else:
        event.add("dtstart", entry.begins)
    event.add("summary", entry.title)
    if entry.why:
        event.add("description", entry.why)
    event.add("transp", "TRANSPARENT")  # it keeps nobody from other things
    if entry.remind and not entry.cancelled:
        event.add_component(_alarm(entry))
    return event


def _alarm(entry: CalendarEntry) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", entry.title)
    alarm.add("trigger", BEFORE if isinstance(entry.begins, datetime) else MORNING)
    return alarm


def _entry(event: Any) -> CalendarEntry:
    begins: date | datetime = event.decoded("dtstart")
    minutes = 15
    if isinstance(begins, datetime):
        minutes = round((event.decoded("dtend") - begins).total_seconds() / 60.0)
    return CalendarEntry(
        str(event["uid"]),
        begins,
        str(event["summary"]),
        str(event.get("description", "")),
        minutes,
        remind=bool(event.walk("VALARM")),
        sequence=int(event["sequence"]),
        cancelled=str(event["status"]) == "CANCELLED",
        stamped=event.decoded("dtstamp"),
    )
