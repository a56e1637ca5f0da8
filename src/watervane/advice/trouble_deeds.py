"""What was done to a tank in a span of its log, as first aid calls it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from watervane.records import (
    AnimalsIn,
    Clean,
    Dose,
    EquipmentChange,
    MediaMoved,
    Outage,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.records.events import Event

TWO_DAYS = timedelta(days=2)
MONTHS = timedelta(days=60)
BETTER_AIRED = ("conditioner",)  # a dose that goes in with every change


def deeds_in(tank: Tank, first: datetime, last: datetime) -> tuple[str, ...]:
    """What was done in a span, as first aid calls it, in the order it is written.

    Parameters
    ----------
    tank
        With its log.
    first, last
        Ends of the span, aware.
    """
    return tuple(deed for event in happened(tank, first, last) if (deed := _deed(event)))


def _deed(event: Event) -> str:
    """What first aid calls it; empty for what it does not ask for."""
    if isinstance(event, WaterChange | TopOff):
        pure = isinstance(event, TopOff) and event.pure
        return "water-change" if event.conditioner or pure else "water-raw"
    if isinstance(event, AnimalsIn):
        return "newcomers"
    if isinstance(event, Clean | MediaMoved):
        part = event.part if isinstance(event, Clean) else "filter"
        return "filter-cleaned" if part in ("filter", "bed") else ""
    if isinstance(event, Outage):
        return "stopped" if event.what in ("all", "filter", "air", "heater") else ""
    if isinstance(event, Treatment):
        return "treated"
    if isinstance(event, Dose):
        return "" if event.substance in BETTER_AIRED else "treated"
    return "filter-cleaned" if isinstance(event, EquipmentChange) and _media(event) else ""


def _media(event: EquipmentChange) -> bool:
    return event.media is not None or any("filter" in name for name in event.changes)


def happened(tank: Tank, first: datetime, last: datetime) -> Iterator[Event]:
    """Dated events of a span, and those of habits as often as they fall into it.

    Parameters
    ----------
    tank
        With its log.
    first, last
        Ends of the span, aware.
    """
    for event in tank.events:
        if first <= event.at <= last:
            yield event
    for habit in tank.habits:
        begins = habit.template.at
        start = begins.replace(year=habit.start.year, month=habit.start.month, day=habit.start.day)
        every = timedelta(days=habit.every_days)
        times = max((first - start) // every, 0)
        due = start + times * every
        due = due if due >= first else due + every
        until = habit.until
        while due <= last and (until is None or due.date() <= until):
            yield habit.template
            due += every
