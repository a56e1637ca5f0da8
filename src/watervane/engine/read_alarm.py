"""A reading taken at its word: what it would mean for the animals, whatever else fits.

Members that fit all the rest may write a reading off as a stray one. Then it is most needed that
somebody acts as if it were right until a second test says otherwise.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from watervane.chemistry.dilution import left_after_changes
from watervane.engine.futures import Standing, stop_at
from watervane.engine.verdict import LIKELY, Ahead
from watervane.forecast.harm import told_limit
from watervane.forecast.harm_after import cut
from watervane.limits import Limit, judge
from watervane.process.calendar import events_through
from watervane.records import ReadAlarm, Reading, WaterChange

RECENT_D = 2.0
LEAST_SHARE, MOST_SHARE = 0.25, 0.75
_NAMES = ("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "nitrate_mg_n_per_l")
TIERS = ("acute", "chronic")


def read_alarm(standing: Standing, ahead: Ahead, limits: tuple[Limit, ...]) -> ReadAlarm | None:
    """The gravest recent reading of nitrogen that passes a limit of harm if it is right.

    The last one of each quantity counts, thinned by the water changed since it was taken.

    Parameters
    ----------
    standing
        The members; their pH, warmth and chloride now are those the reading is held against.
    ahead
        Their planned future.
    limits
        Of the animals present.

    Returns
    -------
    ReadAlarm
        ``None`` where no reading passes a limit in half of the members' waters.
    """
    at = stop_at(ahead.stops_d, standing.as_of_d)
    now = np.arange(len(ahead.stops_d)) == at
    bare = replace(
        cut(ahead.water, now),
        ammonia_mg_n_per_l=None,
        nitrite_mg_n_per_l=None,
        nitrate_mg_n_per_l=None,
    )
    worst: ReadAlarm | None = None
    changes = _recent_changes(standing)
    for reading in _latest(standing):
        read_d = standing.calendar.days(reading.at)
        kept = left_after_changes(share for done_d, share in changes if done_d > read_d)
        level = _level(reading)
        name = f"{reading.quantity}_mg_n_per_l"
        water = replace(bare, **{name: np.full(np.shape(bare.ph), level * kept)})
        for tier in TIERS:
            judged = judge(limits, water).get((tier, reading.quantity))
            if judged is None or judged.passed.mean() < LIKELY:
                continue
            ratio = float(np.median(judged.ratio))
            found = ReadAlarm(
                reading.quantity,
                level,
                told_limit(judged.leader, water),
                float(judged.passed.mean()),
                min(max(1.0 - 1.0 / ratio, LEAST_SHARE), MOST_SHARE),
                1.0 - kept,
            )
            if worst is None or _rank(found) < _rank(worst):
                worst = found
            break
    return worst


def _latest(standing: Standing) -> list[Reading]:
    """The last reading of each quantity, where it is not old: a second test stands for the first.

    Of several at the same moment all count.
    """
    found: dict[str, list[Reading]] = {}
    for reading in sorted(standing.tank.readings, key=lambda one: one.at):
        age_d = standing.as_of_d - standing.calendar.days(reading.at)
        name = f"{reading.quantity}_mg_n_per_l"
        if name not in _NAMES or reading.of_source_water or not 0 <= age_d <= RECENT_D:
            continue
        before = found.get(name, [])
        found[name] = [*(one for one in before if one.at == reading.at), reading]
    return [one for several in found.values() for one in several]


def _recent_changes(standing: Standing) -> list[tuple[float, float]]:
    """Moment and share of each change that a reading which still counts may have come before."""
    told = [
        (standing.calendar.days(event.at), event.fraction)
        for event in events_through(standing.tank, standing.calendar, standing.today)
        if isinstance(event, WaterChange)
    ]
    return [each for each in told if 0.0 <= standing.as_of_d - each[0] <= RECENT_D]


def _level(reading: Reading) -> float:
    """What was read, as N; the low end of a range, and the ion where the basis is not told."""
    value = reading.value
    return float(value.low or 0.0) * reading.diluted


def _rank(alarm: ReadAlarm) -> tuple[int, float]:
    return TIERS.index(alarm.limit.tier), -alarm.share
