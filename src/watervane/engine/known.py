"""What was known of a tank at a moment, and which of its readings can be used."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from watervane.inference.anchors import reading_key
from watervane.inference.kits import with_kit_basis
from watervane.inference.observation import can_explain
from watervane.process.calendar import Calendar
from watervane.records import WHOLE_WATER, Reading, Tank, plans_begin

SLOTS_PER_DAY = 4  # a kit tells little more when read again within six hours


def moment_of_forecast(
    tank: Tank, told: datetime | None, calendar: Calendar, now: datetime
) -> datetime:
    """The told moment, else the last entry of the log, else midnight after filling.

    Entries that still lie ahead are plans, not log entries.

    Raises
    ------
    ValueError
        If the told moment lies before the filling.
    """
    if told is not None:
        moment = told if told.tzinfo else told.replace(tzinfo=calendar.zone)
        if calendar.days(moment) < 0.0:
            raise ValueError(f"{moment.isoformat()} lies before the filling on {tank.filled}")
        return moment
    entries = [*(r.at for r in tank.readings), *(e.at for e in tank.events if e.at <= now)]
    return max([calendar.moment(calendar.bounds_d(0)[1]), *entries])


def as_known(tank: Tank, as_of: datetime, now: datetime) -> Tank:
    """The tank as it was known at a moment.

    Later readings are taken out. Habits stay, as standing plans, and so do dated events up
    to the moment. Of the dated events after it only plans stay, see
    `watervane.records.plans_begin`: all of them as of the last reading or later, else only
    those after the present. A habit follows its own dates where a single event was taken
    out. Readings take the basis their kit is known to have.
    """
    begin = plans_begin(tank, as_of, now)
    return replace(
        tank,
        readings=tuple(
            with_kit_basis(r, tank.kits.get(r.kit) if r.kit else None)
            for r in tank.readings
            if r.at <= as_of
        ),
        events=tuple(e for e in tank.events if e.at <= as_of or e.at > begin),
    )


def present(tank: Tank, now: datetime) -> datetime:
    """The present, no earlier than the last reading: nobody reads a kit ahead of time."""
    return max([now, *(r.at for r in tank.readings)])


def usable_readings(tank: Tank, calendar: Calendar) -> list[Reading]:
    """Readings of the tank's own water that the model knows, thinned to one a kit and slot.

    Readings a few minutes apart share their error; counted each, a probe's thousands
    would drown every other reading. The last of each slot is kept. Tests of the source water
    and words without numbers are few and stay.
    """
    kept: dict[tuple[str | None, str, int], Reading] = {}
    others = []
    for reading in sorted(modelled(tank.readings), key=lambda r: calendar.days(r.at)):
        if reading.of_source_water or reading.quantity == WHOLE_WATER:
            others.append(reading)
            continue
        slot = math.floor(SLOTS_PER_DAY * calendar.days(reading.at))
        kept[reading.kit, reading.quantity, slot] = reading
    return sorted([*kept.values(), *others], key=lambda r: calendar.days(r.at))


def held_readings(tank: Tank, usable: Sequence[Reading], used: Sequence[str]) -> list[Reading]:
    """Usable readings, but where one of a slot was used before it stays in the later one's place.

    Parameters
    ----------
    tank
        With its readings.
    usable
        See `usable_readings`.
    used
        Keys of those used before, see `watervane.inference.anchors.reading_key`.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    keys = set(used)

    def slot(reading: Reading) -> tuple[str | None, str, int]:
        place = math.floor(SLOTS_PER_DAY * calendar.days(reading.at))
        return reading.kit, reading.quantity, place

    held = [r for r in modelled(tank.readings) if reading_key(r) in keys] if keys else []
    taken = {slot(r) for r in held if not r.of_source_water and r.quantity != WHOLE_WATER}
    there = {reading_key(r) for r in held}
    free = [
        r
        for r in usable
        if reading_key(r) not in there and (r.of_source_water or slot(r) not in taken)
    ]
    return sorted([*held, *free], key=lambda r: calendar.days(r.at))


def modelled(readings: Sequence[Reading]) -> list[Reading]:
    """Readings that some observation model can explain."""
    return [r for r in readings if can_explain(r)]


def local_day(calendar: Calendar, at_d: float) -> int:
    """Number of the local day a moment falls on; elapsed days are an hour off in summer."""
    return (calendar.moment(at_d + 1e-9).date() - calendar.filled).days
