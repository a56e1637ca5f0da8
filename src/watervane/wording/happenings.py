"""Events as the short labels a shared time axis can carry."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    Event,
    Habit,
    MediaMoved,
    Outage,
    Seed,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)

# One letter a kind; meals, top-offs and notes are too many to flag.
LETTERS: dict[type, tuple[str, str]] = {
    WaterChange: ("W", "water change"),
    AnimalsIn: ("A", "animals in"),
    AnimalsOut: ("B", "animals out"),
    Died: ("X", "died"),
    Dose: ("D", "dose"),
    Seed: ("S", "seeding"),
    MediaMoved: ("M", "media moved"),
    Clean: ("C", "cleaning"),
    Outage: ("P", "power or machine off"),
    Treatment: ("T", "treatment"),
    EquipmentChange: ("E", "equipment"),
}


@dataclass(frozen=True, slots=True)
class Happened:
    """One flagged event: when, its letter, what it is and how much."""

    at: datetime
    letter: str
    kind: str
    label: str


def happenings(tank: Tank, until: datetime) -> tuple[Happened, ...]:
    """Every flagged event up to ``until``, habits written out day by day."""
    events = [*tank.events, *habit_events(tank, until)]
    found = [
        Happened(event.at, *LETTERS[type(event)], event_label(event))
        for event in events
        if type(event) in LETTERS and event.at <= until
    ]
    return tuple(sorted(found, key=lambda item: item.at))


def event_label(event: Event) -> str:
    """A few words: ``water change 25 %``, ``4 Danio rerio in``."""
    match event:
        case WaterChange():
            return f"water change {event.fraction * 100:.0f} %"
        case AnimalsIn():
            return f"{event.count} {event.species} in"
        case AnimalsOut():
            return f"{event.count} {event.species} out"
        case Died():
            return f"{event.count} {event.species} died"
        case Dose():
            return f"dose of {event.substance.replace('_', ' ')}"
        case Seed():
            return f"seeded with {event.source}"
        case MediaMoved():
            return f"{event.fraction * 100:.0f} % of the media moved"
        case Clean():
            return f"{event.part} cleaned ({event.how})"
        case Outage():
            return f"{event.what} off for {event.hours:.0f} h"
        case Treatment():
            return f"treatment with {event.substance}"
        case EquipmentChange():
            names = ", ".join(name.replace("_", " ") for name in event.changes)
            return f"equipment changed: {names}"
        case TopOff():
            return "topped off"
    return "noted"


def habit_events(tank: Tank, until: datetime) -> Iterator[Event]:
    """The dated events of every habit a flag can show; a single event overrides its day."""
    zone = ZoneInfo(tank.time_zone)
    single = {(type(event), event.at.date()) for event in tank.events}
    for habit in tank.habits:
        if type(habit.template) in LETTERS:
            for day in _days(habit, until.date()):
                if (type(habit.template), day) not in single:
                    clock = habit.template.at.timetz().replace(tzinfo=None)
                    yield _moved(habit.template, day, clock, zone)


def _days(habit: Habit, last: date) -> Iterator[date]:
    step, count = max(habit.every_days, 1e-6), 0
    end = last if habit.until is None else min(last, habit.until)
    while (day := habit.start + timedelta(days=round(count * step))) <= end:
        yield day
        count += 1


def _moved(event: Event, day: date, clock: time, zone: ZoneInfo) -> Event:
    return dataclasses.replace(event, at=datetime.combine(day, clock, tzinfo=zone))
