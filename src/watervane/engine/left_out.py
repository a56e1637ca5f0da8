"""The week ahead with its planned water changes left out: whether they are worth a reminder."""

from __future__ import annotations

from dataclasses import replace

from watervane.engine.futures import Standing
from watervane.process.calendar import events_through
from watervane.records import Tank, WaterChange


def without_changes(standing: Standing, days: int) -> Tank | None:
    """The tank with every water change still to come left out; ``None`` where none is planned.

    Parameters
    ----------
    standing
        Whose moment parts what was done from what is planned.
    days
        Local days looked at, today counted. [d]
    """
    tank, calendar = standing.tank, standing.calendar
    planned = [
        event
        for event in events_through(tank, calendar, standing.today + days - 1)
        if isinstance(event, WaterChange)
        and event.fraction > 0.0
        and calendar.days(event.at) > standing.as_of_d
    ]
    if not planned:
        return None
    done = tuple(
        event
        for event in tank.events
        if not (isinstance(event, WaterChange) and calendar.days(event.at) > standing.as_of_d)
    )
    none = tuple(replace(event, fraction=0.0) for event in planned)  # each overrides its habit
    return replace(tank, events=(*done, *none))
