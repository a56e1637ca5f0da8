"""How a tank began, on its page: asked while it still tells, and what was told of it."""

from __future__ import annotations

from datetime import date, timedelta

from watervane.app.tank_page import LookedAt
from watervane.records import AnimalsIn, Dose, EquipmentChange, Feed, Habit, Seed
from watervane.reference import UnknownNameError, substance
from watervane.web.entries import EntryShown, entry_shown
from watervane.web.forms import started
from watervane.web.forms.fields import Field
from watervane.web.forms.filling import is_young

FIRST_DAYS = timedelta(days=14)


def began_fields(looked: LookedAt) -> tuple[Field, ...]:
    """What is asked; nothing of a tank whose first weeks tell on it no more."""
    return started.fields() if is_young(looked.tank.filled, looked.now.date()) else ()


def told_of_beginning(looked: LookedAt) -> tuple[EntryShown, ...]:
    """Bacteria, and what fed them before any animal, as it stands in the log."""
    if not began_fields(looked):
        return ()
    came, last = animals_came(looked), looked.tank.filled + FIRST_DAYS
    found = []
    for entry in looked.entries:
        what = entry.what.template if isinstance(entry.what, Habit) else entry.what
        early = entry.standing and what.at.date() <= last
        before = came is None or what.at.date() < came
        fed = isinstance(what, Feed) or (isinstance(what, Dose) and _brings_ammonia(what))
        if early and (isinstance(what, Seed) or (before and fed)):
            found.append(entry_shown(entry, looked.now, looked.photographed))
    return tuple(found)


def told_of_parts(looked: LookedAt) -> tuple[EntryShown, ...]:
    """What a tank is made of since a day of its own, as it stands in the log."""
    return tuple(
        entry_shown(entry, looked.now, looked.photographed)
        for entry in looked.entries
        if entry.standing and isinstance(entry.what, EquipmentChange)
    )


def animals_came(looked: LookedAt) -> date | None:
    """The day of the first animals."""
    days = [
        entry.what.at.date()
        for entry in looked.entries
        if entry.standing and isinstance(entry.what, AnimalsIn)
    ]
    return min(days, default=None)


def _brings_ammonia(dose: Dose) -> bool:
    try:
        return substance(dose.substance).tan_mol > 0
    except UnknownNameError:
        return False
