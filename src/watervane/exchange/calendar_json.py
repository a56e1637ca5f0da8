"""A calendar as a document for programs."""

from __future__ import annotations

from typing import Any

from watervane.records.calendars import Calendar

CALENDAR_FORMAT = "watervane-calendar/1"


def calendar_document(calendar: Calendar) -> dict[str, Any]:
    """The entries of a calendar, the earliest first.

    Parameters
    ----------
    calendar
        Of a tank or a blueprint.
    """
    return {
        "format": CALENDAR_FORMAT,
        "name": calendar.name,
        "entries": [
            {
                "uid": each.uid,
                "begins": each.begins.isoformat(),
                "title": each.title,
                "why": each.why,
                "remind": each.remind,
            }
            for each in calendar.entries
        ],
    }
