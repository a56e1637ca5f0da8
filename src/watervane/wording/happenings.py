"""Events as the short labels a shared time axis can carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
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
from watervane.wording.templates import phrase

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


def happenings(
    tank: Tank, as_of: datetime, until: datetime, plans_from: datetime
) -> tuple[Happened, ...]:
    """Every flagged event up to ``until``, habits written out day by day.

    Parameters
    ----------
    tank
        With its whole log.
    as_of
        Moment of the forecast.
    until
        Its horizon.
    plans_from
        See `watervane.records.plans_begin`: what was logged between ``as_of`` and it was
        not known to the forecast, and gets a small letter; what lies after it is a plan.
    """
    late = [event for event in tank.events if as_of < event.at <= plans_from]
    in_time = (event for event in tank.events if not as_of < event.at <= plans_from)
    known = replace(tank, events=tuple(in_time))
    told = [_happened(event) for event in (*known.events, *habit_events(known, until))]
    unused = [_unused(item) for item in map(_happened, late) if item is not None]
    found = [item for item in (*told, *unused) if item is not None and item.at <= until]
    return tuple(sorted(found, key=lambda item: item.at))


def _happened(event: Event) -> Happened | None:
    if type(event) not in LETTERS:
        return None
    letter, kind = LETTERS[type(event)]
    return Happened(event.at, letter, kind, event_label(event))


def _unused(item: Happened) -> Happened:
    label = f"{item.label} (later, not used)"
    return Happened(item.at, item.letter.lower(), f"later {item.kind}, not used", label)


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
            return f"seeded {'from a' if event.source == 'bottle' else 'with'} {event.source}"
        case MediaMoved():
            return f"{event.fraction * 100:.0f} % of the media moved"
        case Clean():
            return f"{event.part} cleaned ({event.how})"
        case Outage():
            return f"{event.what} off for {event.hours:.0f} h"
        case Treatment():
            return f"treatment with {event.substance}"
        case EquipmentChange():
            return ", ".join(_changed(event))
        case TopOff():
            return "topped off" if event.volume_l is None else f"{event.volume_l:.3g} L topped off"
    return "noted"


def _changed(event: EquipmentChange) -> Iterator[str]:
    """What is other from then on, a few words each."""
    for name, value in event.changes.items():
        yield phrase(f"equipment-{name}", value=f"{value:g}")
    for each in event.media or ():
        key = "equipment-media" if each.volume_l > 0.0 else "equipment-media-out"
        yield phrase(key, kind=each.kind, value=f"{each.volume_l:g}")
    if event.bed_material is not None:
        key = "equipment-bed-none" if event.bed_material == "none" else "equipment-bed"
        yield phrase(key, material=event.bed_material)
    for name in ("bed_depth_cm", "bed_grain_mm"):
        if (number := getattr(event, name)) is not None:
            yield phrase(f"equipment-{name}", value=f"{number:g}")
    if event.plants is not None:
        yield phrase(f"equipment-plants-{event.plants}")


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
    return replace(event, at=datetime.combine(day, clock, tzinfo=zone))
