"""What was read in trouble means by itself, whatever the cause: which limit it passes, for whom."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from watervane.advice.at_once import at_once
from watervane.advice.trouble_change import with_change
from watervane.advice.trouble_log import animals_at
from watervane.records import Tank
from watervane.records.trouble import Trouble


def with_alarms(found: Trouble, tank: Tank, at: datetime, *, measured: bool = True) -> Trouble:
    """What was found, with the readings that pass a limit, by limits and chemistry alone.

    Parameters
    ----------
    found
        Causes of trouble, with the readings they were weighed by.
    tank
        Whose animals the readings are held against.
    at
        The moment, aware.
    measured
        Whether the tank's volume is told.
    """
    read = found.answers.readings
    animals = animals_at(tank, at)
    if not read or not animals:
        return found
    names = {each.quantity for each in read}
    kept = [each for each in tank.readings if each.quantity not in names]
    as_read = replace(tank, readings=(*kept, *read))
    alarms = at_once(as_read, animals, at, by_log=False)
    alarms = replace(alarms, alarms=tuple(a for a in alarms.alarms if a.quantity in names))
    held = replace(found, alarms=alarms, held_against=animals)
    return with_change(held, as_read, measured=measured)
