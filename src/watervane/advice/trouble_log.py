"""What a tank's records tell of trouble before its keeper is asked anything."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from watervane.advice.trouble_deeds import MONTHS, TWO_DAYS, deeds_in, happened
from watervane.advice.trouble_waters import READABLE
from watervane.records import (
    UNNAMED,
    AnimalsIn,
    AnimalsOut,
    Died,
    Reading,
    Tank,
    WaterChange,
)
from watervane.records.trouble import TroubleAnswers
from watervane.reference import animal_needs

NOW_WITHIN = timedelta(hours=36)
BEFORE_WITHIN = timedelta(days=45)


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
    heads, kinds = stock_at(tank, at)
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
        heads=heads,
        kinds_kept=kinds,
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
    found = list(deeds_in(tank, at - TWO_DAYS, at))
    changes = any(isinstance(e, WaterChange) for e in happened(tank, at - MONTHS, at))
    if not changes and age_days > MONTHS.days and (tank.events or tank.habits):
        found.append("months")
    if tank.co2_injected:
        found.append("gas")
    return tuple(dict.fromkeys(found))


def animals_at(tank: Tank, at: datetime) -> tuple[str, ...]:
    """Who is in the tank at a moment, as its keeper names them.

    Parameters
    ----------
    tank
        With its log.
    at
        The moment, aware.
    """
    return tuple(_counted(tank, at))


def stock_at(tank: Tank, at: datetime) -> tuple[int | None, int | None]:
    """How many animals of how many kinds; nothing of either where some are not named.

    Parameters
    ----------
    tank
        With its log.
    at
        The moment, aware.
    """
    counts = _counted(tank, at)
    if not counts or UNNAMED in counts:
        return None, None
    return sum(counts.values()), len(counts)


def _counted(tank: Tank, at: datetime) -> Mapping[str, int]:
    counts: dict[str, int] = {}
    for event in tank.events:
        if event.at > at:
            continue
        if isinstance(event, AnimalsIn):
            counts[event.species] = counts.get(event.species, 0) + event.count
        elif isinstance(event, AnimalsOut | Died):
            counts[event.species] = counts.get(event.species, 0) - event.count
    return {name: count for name, count in counts.items() if count > 0}


def _liked(tank: Tank, at: datetime) -> tuple[float, float] | None:
    """Warmth that suits all animals present, none where no table knows them or none fits all."""
    low, high, known = 0.0, 45.0, False
    for species in animals_at(tank, at):
        liked = animal_needs(species, tank.own_animals).values.get("temperature")
        if liked is not None and liked.low is not None and liked.high is not None:
            low, high, known = max(low, liked.low), min(high, liked.high), True
    return (low, high) if known and high - low >= 1.0 else None
