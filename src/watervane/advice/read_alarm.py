"""A reading taken at its word: what it would mean for the animals, whatever else fits.

Members that fit all the rest may write a reading off as a stray one. Then it is most needed that
somebody acts as if it were right until a second test says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType
from typing import Any

import numpy as np

from watervane.advice.since_reading import Done
from watervane.limits import Limit, Water, judge
from watervane.limits.told import told_limit
from watervane.records import ReadAlarm, Reading
from watervane.units.conversions import MEQ_PER_L_PER_DKH

RECENT_D = 2.0
# Alkalinity goes down over weeks and comes back with new water only (common practice, no source).
SLOW_D: Mapping[str, float] = MappingProxyType({"kh": 14.0})
LIKELY = 0.5
LEAST_SHARE, MOST_SHARE = 0.25, 0.75
# Acid, very alkaline or hardly buffered water: most taps would move it far (house estimates).
GENTLE_SHARE, ACID_PH, ALKALINE_PH, LITTLE_KH_DKH = 0.1, 7.0, 9.0, 1.5
STALLING_PH = 6.0  # from there down nitrifying bacteria hardly work (from memory)
TIERS = ("acute", "chronic")
NITROGEN: Mapping[str, str] = MappingProxyType(
    {name: f"{name}_mg_n_per_l" for name in ("ammonia", "nitrite", "nitrate")}
)
# What a reading of each quantity is held against.
HELD: Mapping[str, str] = MappingProxyType(
    {
        **NITROGEN,
        "ph": "ph",
        "temperature": "temperature_c",
        "chlorine": "chlorine_mg_per_l",
        "oxygen": "oxygen_mg_per_l",
        "co2": "co2_mg_per_l",
        "kh": "alkalinity_meq_per_l",
    }
)


def read_alarms(
    told: Sequence[Reading],
    done: Done,
    as_of: datetime,
    water: Water,
    limits: Sequence[Limit],
    held: Mapping[str, str] = HELD,
    doubted: Callable[[datetime], str] | None = None,
) -> tuple[ReadAlarm, ...]:
    """Recent readings that pass a limit of harm if they are right, the gravest first.

    The last one of each quantity counts; nitrogen is thinned by the water changed since, and KH
    moved to that of the tap.

    Parameters
    ----------
    told
        Of the tank's own water and others.
    done
        Water changes and doses, those since the readings among them.
    as_of
        The moment; older readings than `RECENT_D` days before it do not count, but for those of
        `SLOW_D` as far as new water leaves them standing.
    water
        pH, warmth and chloride that readings are held against: of members, or as last read.
    limits
        Of the animals present.
    held
        Quantities looked at, and the names of what the water holds of them.
    doubted
        Which deed before a moment makes new water itself suspect, see `may_hurt`.
    """
    gently = _gentle(told, done, as_of, water)
    found = []
    for reading in latest_readings(told, as_of, held):
        alarm = _alarm(
            reading,
            _standing(reading, done, as_of),
            water,
            limits,
            held[reading.quantity],
            gently=gently,
        )
        if alarm is not None and reading.quantity in NITROGEN:
            alarm = replace(alarm, changed_since=1.0 - done.left(reading.at))
        if alarm is not None and doubted is not None and reading.quantity in NITROGEN:
            alarm = replace(alarm, after=doubted(reading.at))
        if alarm is not None:
            found.append(alarm)
    return tuple(sorted(found, key=_rank))


def latest_readings(
    told: Iterable[Reading], as_of: datetime, held: Mapping[str, str] = HELD
) -> list[Reading]:
    """The last reading of each quantity, where it is not old: a second test stands for the first.

    Of several at the same moment all count.
    """
    found: dict[str, list[Reading]] = {}
    for reading in sorted(told, key=lambda one: one.at):
        name, age_d = reading.quantity, age_in_days(reading.at, as_of)
        longest_d = SLOW_D.get(name, RECENT_D)
        if name not in held or reading.of_source_water or not 0.0 <= age_d <= longest_d:
            continue
        found[name] = [*(one for one in found.get(name, []) if one.at == reading.at), reading]
    return [one for several in found.values() for one in several]


def age_in_days(at: datetime, as_of: datetime) -> float:
    """Time since a moment. [d]"""
    return (as_of - at).total_seconds() / 86400.0


Ends = tuple[float | None, float | None]


def _standing(reading: Reading, done: Done, as_of: datetime) -> Ends:
    """What is left of a reading now, lowest and highest, in the unit of what is held.

    Nitrogen is as N, and as the ion where the basis is not told.
    """
    if reading.quantity == "kh":
        low, high = _kh_dkh(reading, done, as_of)
        unit = MEQ_PER_L_PER_DKH
        return None if low is None else low * unit, None if high is None else high * unit
    left = done.left(reading.at) if reading.quantity in NITROGEN else 1.0
    ends = (reading.value.low, reading.value.high)
    low, high = (None if end is None else float(end) * reading.diluted * left for end in ends)
    return low, high


def _kh_dkh(reading: Reading, done: Done, as_of: datetime) -> Ends:
    return done.kh_dkh(reading, recent=age_in_days(reading.at, as_of) <= RECENT_D)


def _alarm(
    reading: Reading,
    standing: Ends,
    water: Water,
    limits: Sequence[Limit],
    name: str,
    *,
    gently: bool,
) -> ReadAlarm | None:
    """The gravest limit a reading passes; ``None`` where it passes none in half of the waters."""
    for tier in (*TIERS, "comfort") if _hardly_holds(reading) else TIERS:
        for side in ("above", "below"):
            some = [each for each in limits if (each.tier, each.side) == (tier, side)]
            level, left = _level(reading, side), standing[side == "below"]
            if level is None or left is None or not some:
                continue
            with_it = _bare(water, name, left)
            judged = judge(some, with_it).get((tier, _subject(reading.quantity)))
            if judged is None or judged.passed.mean() < LIKELY:
                continue
            ratio = float(np.median(judged.ratio))
            share = min(max(1.0 - 1.0 / ratio, LEAST_SHARE), MOST_SHARE)
            return ReadAlarm(
                reading.quantity,
                level,
                told_limit(judged.leader, with_it),
                float(judged.passed.mean()),
                GENTLE_SHARE if gently else share,
                gently=gently,
            )
    return None


def _hardly_holds(reading: Reading) -> bool:
    """Whether a reading tells that pH may fall, or has fallen so far that colonies stall."""
    high = reading.value.high
    return reading.quantity == "kh" or (
        reading.quantity == "ph" and high is not None and high <= STALLING_PH
    )


def _bare(water: Water, name: str, level: float) -> Water:
    """A water of which nothing is told but what levels hang on, and one quantity."""
    conditions: dict[str, Any] = {
        "ph": water.ph,
        "temperature_c": water.temperature_c,
        "chloride_mg_per_l": water.chloride_mg_per_l,
        "salinity_g_per_kg": water.salinity_g_per_kg,
        "pressure_atm": water.pressure_atm,
    }
    return Water(**{**conditions, name: np.full(np.shape(water.ph), level)})


def _subject(quantity: str) -> str:
    return "alkalinity" if quantity == "kh" else quantity


def _level(reading: Reading, side: str) -> float | None:
    """What was read at least, or at most where too little harms; in the unit of what is held.

    Nitrogen is as N, and as the ion where the basis is not told.
    """
    value = reading.value
    end = value.low if side == "above" else value.high
    if end is None or not math.isfinite(end):
        return None
    unit = MEQ_PER_L_PER_DKH if reading.quantity == "kh" else 1.0
    return float(end) * unit * reading.diluted


def _gentle(told: Sequence[Reading], done: Done, as_of: datetime, water: Water) -> bool:
    """Whether the water is acid, very alkaline or hardly buffered."""
    middle = float(np.median(water.condition("ph")))
    return hardly_buffered(told, done, as_of) or not ACID_PH <= middle < ALKALINE_PH


def hardly_buffered(told: Sequence[Reading], done: Done, as_of: datetime) -> bool:
    """Whether KH was read so low that most taps would make pH jump, and still stands so."""
    read = latest_readings(told, as_of, {"kh": HELD["kh"]})
    highest = (_kh_dkh(one, done, as_of)[1] for one in read)
    return any(high is not None and high <= LITTLE_KH_DKH for high in highest)


def _rank(alarm: ReadAlarm) -> tuple[int, float]:
    tier = alarm.limit.tier
    return TIERS.index(tier) if tier in TIERS else len(TIERS), -alarm.share


__all__ = [
    "GENTLE_SHARE",
    "LIKELY",
    "NITROGEN",
    "RECENT_D",
    "TIERS",
    "age_in_days",
    "hardly_buffered",
    "latest_readings",
    "read_alarms",
]
