"""How long a start takes: this tank's own run where there is one, else the prior's table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from watervane.planning.blueprint.shapes import CannotPlan
from watervane.records import DayRange, Finding, StartDays, Ways
from watervane.reference import Row, load_table

LOOKED_AHEAD_DAYS = 120  # of the table
USUAL_WAY = "dosed-salt"  # needs no settled tank and no animal


def ways_known() -> tuple[str, ...]:
    """Ways to start that the table knows."""
    return tuple(dict.fromkeys(row.extra["way"] for row in load_table("starts")))


def start_days(way: str | None, temperature_c: float, own: Ways | None = None) -> StartDays:
    """Days to settled and to ready.

    Parameters
    ----------
    way
        As chosen; left out, what the own run prefers, or a salt of ammonia without animals.
    temperature_c
        Of the water; outside the table's its nearest end counts. [degC]
    own
        This tank's own run.

    Raises
    ------
    CannotPlan
        For a way nobody knows, or one that the own run had no part of.
    """
    chosen = way or (USUAL_WAY if own is None else own.preferred)
    known = ways_known() if own is None else tuple(each.key for each in own.ways)
    if chosen not in known:
        told = {"way": chosen, "known": list(known)}
        raise CannotPlan([Finding("blueprint-way-unknown", "problem", told)])
    return _of_table(chosen, temperature_c) if own is None else _of_run(chosen, temperature_c, own)


def _of_run(way: str, temperature_c: float, own: Ways) -> StartDays:
    found = next(each for each in own.ways if each.key == way)
    most = float(own.horizon_days)

    def days(told: tuple[float | None, ...]) -> DayRange:
        early, usual, late = (most if each is None else each for each in told)
        return DayRange(early, usual, late, told[2] is None)

    settled, ready = found.settled_days, found.ready_days
    return StartDays(
        way,
        own=True,
        temperature_c=temperature_c,
        settled=days((settled.p05, settled.p50, settled.p95)),
        ready=days((ready.p05, ready.p50, ready.p95)),
        share_within=found.settled_within,
        horizon_days=own.horizon_days,
    )


def _of_table(way: str, temperature_c: float) -> StartDays:
    settled, within = _between(_rows(way, "days to settled"), temperature_c)
    ready, _ = _between(_rows(way, "days to ready"), temperature_c)
    return StartDays(
        way,
        own=False,
        temperature_c=temperature_c,
        settled=settled,
        ready=ready,
        share_within=within,
        horizon_days=LOOKED_AHEAD_DAYS,
    )


def dosed_mg_per_l(way: str, temperature_c: float) -> DayRange | None:
    """Salt or solution of ammonia used until settled, by the litre; ``None`` where none is. [mg/L]

    Parameters
    ----------
    way
        Of the table.
    temperature_c
        [degC]
    """
    rows = _rows(way, "dosed until settled")
    return _between(rows, temperature_c)[0] if rows else None


def _rows(way: str, quantity: str) -> Mapping[float, Row]:
    return {
        float(row.extra["temperature_c"]): row
        for row in load_table("starts")
        if row.extra["way"] == way and row.quantity == quantity
    }


def _between(rows: Mapping[float, Row], temperature_c: float) -> tuple[DayRange, float]:
    """Range and share at a temperature: days go by its powers, shares straight."""
    told = min(max(temperature_c, min(rows)), max(rows))
    marks = sorted(rows)
    cold, warm = next(pair for pair in pairwise(marks) if pair[0] <= told <= pair[1])
    share = (told - cold) / (warm - cold)

    def between(one: float, other: float) -> float:
        return math.exp((1.0 - share) * math.log(one) + share * math.log(other))

    ends = [
        (row.low or row.value, row.value, row.high or row.value) for row in (rows[cold], rows[warm])
    ]
    early, usual, late = (between(one, other) for one, other in zip(*ends, strict=True))
    within = [float(rows[each].extra["share_within"]) for each in (cold, warm)]
    open_end = rows[cold].unit == "d" and max(ends[0][2], ends[1][2]) >= LOOKED_AHEAD_DAYS
    days = DayRange(early, usual, late, open_end)
    return days, (1.0 - share) * within[0] + share * within[1]
