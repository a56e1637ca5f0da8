"""What is due now beside what was handed out before: kept, changed, or cancelled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta

from watervane.records.calendars import Calendar, CalendarEntry

KEPT_PAST = timedelta(days=30)


def brought_forward(
    due: Calendar, earlier: Iterable[CalendarEntry], now: datetime, today: date | None = None
) -> Calendar:
    """Number what changed, and cancel what is no longer due.

    Parameters
    ----------
    due
        As it stands now.
    earlier
        What was handed out last time.
    now
        The present; it stamps every change.
    today
        By the tank's own clock; else that of ``now``.

    Returns
    -------
    Calendar
        What is past, or was done today, stays as it was handed out for a month, then goes.
    """
    before = {each.uid: each for each in earlier}
    first = today or now.date()
    told = [_numbered(each, before.pop(each.uid, None), now) for each in due.entries]
    left = [
        each if each.uid in due.done_uids else _left(each, first, now)
        for each in before.values()
        if each.day >= first - KEPT_PAST
    ]
    return replace(due, entries=tuple(sorted((*told, *left), key=_place)))


def _numbered(entry: CalendarEntry, before: CalendarEntry | None, now: datetime) -> CalendarEntry:
    if before is None:
        return replace(entry, stamped=now)
    if entry.tells_same(before) and not before.cancelled:
        return before
    return replace(entry, sequence=before.sequence + 1, stamped=now)


def _left(entry: CalendarEntry, today: date, now: datetime) -> CalendarEntry:
    if entry.cancelled or entry.day < today:
        return entry
    return replace(entry, sequence=entry.sequence + 1, stamped=now, cancelled=True, remind=False)


def _place(entry: CalendarEntry) -> tuple[date, float]:
    begins = entry.begins
    clock = begins.timestamp() if isinstance(begins, datetime) else 0.0
    return entry.day, clock  # those of one day stay in the order they are done in
