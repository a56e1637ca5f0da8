"""What a tank's records tell of trouble before its keeper is asked anything."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from watervane.advice.trouble_waters import READABLE
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    MediaMoved,
    Outage,
    Reading,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.records.events import Event
from watervane.records.trouble import TroubleAnswers
from watervane.reference import animal_needs

TWO_DAYS = timedelta(days=2)
NOW_WITHIN = timedelta(hours=36)
BEFORE_WITHIN = timedelta(days=45)
MONTHS = timedelta(days=60)
BETTER_AIRED = ("conditioner",)  # a dose that goes in with every change


def told_by_log(tank: Tank, at: datetime) -> TroubleAnswers:
    """Age, kits, animals, readings and the deeds of two days, as far as they are written down.

    Parameters
    ----------
    tank
        With its log.
    at
        The moment trouble is seen, aware.
    """
    now, before = _readings(tank, at)
    filled = datetime.combine(tank.filled, datetime.min.time(), ZoneInfo(tank.time_zone))
    age = (at - filled).total_seconds() / 86_400.0
    return TroubleAnswers(
        done=_deeds(tank, at, age),
        partly=True,  # nobody writes everything down
        age_days=max(age, 0.0),
        readings=now,
        before=before,
        kits=tank.kits,
        liked_c=_liked(tank, at),
        injected=tank.co2_injected,
    )


def _readings(tank: Tank, at: datetime) -> tuple[tuple[Reading, ...], tuple[Reading, ...]]:
    """The newest of each quantity in the last day and a half, and the newest from before it."""
    now: dict[str, Reading] = {}
    before: dict[str, Reading] = {}
    for reading in sorted(tank.readings, key=lambda each: each.at):
        if reading.of_source_water or reading.quantity not in READABLE or reading.at > at:
            continue
        if reading.at >= at - NOW_WITHIN:
            now[reading.quantity] = reading
        elif reading.at >= at - BEFORE_WITHIN:
            before[reading.quantity] = reading
    return tuple(now.values()), tuple(before.values())


def _deeds(tank: Tank, at: datetime, age_days: float) -> tuple[str, ...]:
    found = [deed for event in _happened(tank, at - TWO_DAYS, at) if (deed := _deed(event))]
    changes = any(isinstance(e, WaterChange) for e in _happened(tank, at - MONTHS, at))
    if not changes and age_days > MONTHS.days and (tank.events or tank.habits):
        found.append("months")
    if tank.co2_injected:
        found.append("gas")
    return tuple(dict.fromkeys(found))


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


def _happened(tank: Tank, first: datetime, last: datetime) -> Iterator[Event]:
    """Dated events of a span, and those of habits that fall into it."""
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
        if due <= last and (until is None or due.date() <= until):
            yield habit.template


def animals_at(tank: Tank, at: datetime) -> tuple[str, ...]:
    """Who is in the tank at a moment, as its keeper names them.

    Parameters
    ----------
    tank
        With its log.
    at
        The moment, aware.
    """
    counts: dict[str, int] = {}
    for event in tank.events:
        if event.at > at:
            continue
        if isinstance(event, AnimalsIn):
            counts[event.species] = counts.get(event.species, 0) + event.count
        elif isinstance(event, AnimalsOut | Died):
            counts[event.species] = counts.get(event.species, 0) - event.count
    return tuple(name for name, count in counts.items() if count > 0)


def _liked(tank: Tank, at: datetime) -> tuple[float, float] | None:
    """Warmth that suits all animals present, none where no table knows them or none fits all."""
    low, high, known = 0.0, 45.0, False
    for species in animals_at(tank, at):
        liked = animal_needs(species, tank.own_animals).values.get("temperature")
        if liked is not None and liked.low is not None and liked.high is not None:
            low, high, known = max(low, liked.low), min(high, liked.high), True
    return (low, high) if known and high - low >= 1.0 else None
