"""What was read in trouble means by itself, whatever the cause: which limit it passes, for whom."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from watervane.advice.at_once import at_once
from watervane.advice.trouble_log import animals_at
from watervane.records import Tank
from watervane.records.trouble import Trouble


def with_alarms(found: Trouble, tank: Tank, at: datetime) -> Trouble:
    """What was found, with the readings that pass a limit, by limits and chemistry alone.

    Parameters
    ----------
    found
        Causes of trouble, with the readings they were weighed by.
    tank
        Whose animals the readings are held against.
    at
        The moment, aware.
    """
    read = found.answers.readings
    animals = animals_at(tank, at)
    if not read or not animals:
        return found
    names = {each.quantity for each in read}
    kept = [each for each in tank.readings if each.quantity not in names]
    alarms = at_once(replace(tank, readings=(*kept, *read)), animals, at)
    alarms = replace(alarms, alarms=tuple(a for a in alarms.alarms if a.quantity in names))
    return replace(found, alarms=alarms, held_against=animals)
