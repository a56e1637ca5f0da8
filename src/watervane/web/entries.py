"""One line of a tank's log as pages show it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from watervane.records import Entry, Habit
from watervane.web.forms import kind_of_entry
from watervane.wording import entry_label, phrase
from watervane.wording.dates import weekday_date


@dataclass(frozen=True, slots=True)
class EntryShown:
    """One line of what was recorded."""

    number: int
    day: str
    clock: str
    text: str
    note: str
    standing: bool
    correctable: bool
    fate: str
    photo: bool


def entry_shown(
    entry: Entry, now: datetime, photographed: Collection[int], corrected: Collection[int] = ()
) -> EntryShown:
    """An entry with the day it tells of.

    Parameters
    ----------
    entry
        What was written.
    now
        The present, by the clock of the tank.
    photographed, corrected
        Numbers of entries with a photo, and of those that another took the place of.
    """
    happened = entry.what.template if isinstance(entry.what, Habit) else entry.what
    fate = "" if entry.standing else "tank-undone"
    if entry.number in corrected:
        fate = "tank-corrected"
    return EntryShown(
        number=entry.number,
        day=weekday_date(happened.at, beside=now),
        clock=f"{happened.at:%H:%M}" if happened.hour_known else "",
        text=entry_label(entry.what),
        note=happened.note,
        standing=entry.standing,
        correctable=entry.standing and kind_of_entry(entry.what) is not None,
        fate=phrase(fate) if fate else "",
        photo=entry.number in photographed,
    )
