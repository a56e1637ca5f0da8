"""The watch over a tank: readings against the forecasts kept before them, one test a drift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.advice.drift_test import Compared, Evidence, drift_evidence
from watervane.advice.watched_kinds import (
    FALSE_ALARMS_PER_Y,
    FLOW,
    KINDS,
    WatchedKind,
    threshold,
)
from watervane.engine.showable import middle
from watervane.engine.tap_ammonia import tap_share, told_as_tap
from watervane.engine.watched_readings import compared, in_force, watched_readings
from watervane.process.calendar import Calendar
from watervane.records import EquipmentChange, Finding, Reading, Tank
from watervane.records.watching import Drift, Foretold, Watch

STALE = timedelta(days=45)  # older readings say nothing of now
CLEAR_MG_N_PER_L = 0.15  # ammonia foretold under this: the months of zero
FLOW_NOISE = 0.08  # of a measured flow, natural log; house estimate: a jug and a watch
YEAR_D = 365.25
_SAME_LOG = 5e-3  # measured flows are told no finer
_SLIP = 0.02  # of flows measured wrongly; house estimate
Numbers = NDArray[np.float64]


def watch(tank: Tank, told: Sequence[Foretold], now: datetime) -> Watch:
    """Look for drifts.

    Parameters
    ----------
    tank
        With its log; readings without a clear basis are left out.
    told
        Forecasts of it as they were kept, in any order.
    now
        The present, aware.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    drifts: list[Drift] = []
    counts: dict[str, int] = {}
    explained: list[Finding] = []
    moments: list[datetime] = []
    for name, kind in KINDS.items():
        if name == FLOW:
            continue
        readings = watched_readings(tank, kind.quantity, calendar)
        moments += [each.at for each in readings]
        before = in_force(told, readings)
        seen = compared(tank, kind, readings, before, calendar)
        if name == "ammonia-back":
            seen, taps = _without_taps(tank, readings, seen, calendar)
            explained += told_as_tap(tank, [readings[i] for i in taps], calendar, now)
        counts[name] = int(np.isfinite(np.diagonal(seen.middle)).sum())
        found = _drift(name, kind, readings, seen, calendar, now)
        drifts += [] if found is None else [found]
    flow = _flow(tank, calendar, now)
    drifts += [] if flow is None else [flow]
    ordered = sorted(drifts, key=lambda each: -each.odds)
    last = max(moments, default=None)
    return Watch(now, tuple(ordered), tuple(explained), counts, FALSE_ALARMS_PER_Y, last)


def looks_per_y(day: Numbers) -> float:
    """How often a year so many readings are taken, by those of the last year. [1/a]"""
    recent = day[day > day[-1] - YEAR_D]
    span = float(recent[-1] - recent[0]) if len(recent) > 1 else YEAR_D
    return float(max(len(recent) - 1, 1) / max(span, 28.0) * YEAR_D)


def _drift(
    name: str,
    kind: WatchedKind,
    readings: Sequence[Reading],
    seen: Compared,
    calendar: Calendar,
    now: datetime,
) -> Drift | None:
    if not len(seen.day) or now - readings[-1].at > STALE:
        return None
    if not np.isfinite(seen.middle[-1, -1]) and not np.isfinite(seen.middle[:, -1]).any():
        return None
    evidence = drift_evidence(seen, kind.shapes)
    odds = float(evidence.total[-1]) / threshold(name, looks_per_y(seen.day))
    if odds < 1.0:
        return None
    first, shape = int(evidence.start[-1]), kind.shapes[int(evidence.shape[-1])]
    last = readings[-1]
    return Drift(
        kind=name,
        quantity=kind.quantity,
        since=calendar.moment(float(seen.start_d[first])),
        last_read=last.at,
        readings=len(readings) - first,
        expected=float(seen.middle[first, -1]),
        seen=last.diluted * middle(last.value, last.quantity),
        by_week=_by_week(seen, evidence) if shape.by_week else None,
        odds=odds,
    )


def _by_week(seen: Compared, evidence: Evidence) -> float:
    """The slope away from the forecast, by least squares through its moment. [1/week]"""
    first = int(evidence.start[-1])
    rows = np.arange(first, len(seen.day))
    rows = rows[np.isfinite(seen.middle[first, rows])]
    low = np.where(np.isfinite(seen.low[rows]), seen.low[rows], 0.0)
    high = np.where(np.isfinite(seen.high[rows]), seen.high[rows], low)
    weeks = (seen.day[rows] - seen.start_d[first]) / 7.0
    apart = 0.5 * (low + high) - seen.middle[first, rows]
    return float((weeks * apart).sum() / (weeks**2).sum())


def _without_taps(
    tank: Tank, readings: Sequence[Reading], seen: Compared, calendar: Calendar
) -> tuple[Compared, list[int]]:
    """The test without what the tap brings, and which readings that explains."""
    centre = seen.middle.copy()
    clear = np.diagonal(centre) < CLEAR_MG_N_PER_L
    centre[~clear] = np.nan
    taps = []
    for place, reading in enumerate(readings):
        brought = tap_share(tank, reading.at, calendar)
        if brought <= 0.0:
            continue
        own = np.diagonal(seen.middle)[place]
        error = 2.0 * np.nan_to_num(np.diagonal(seen.noise)[place])
        if 0.0 < seen.low[place] <= brought + np.nan_to_num(own) + error:
            taps.append(place)
        centre[:, place] += brought
    return replace(seen, middle=centre), taps


def _flow(tank: Tank, calendar: Calendar, now: datetime) -> Drift | None:
    """A filter whose measured flow fades from the first one told."""
    told = sorted(
        (e.at, e.changes["filter_flow_l_per_h"])
        for e in tank.events
        if isinstance(e, EquipmentChange) and e.changes.get("filter_flow_l_per_h", 0.0) > 0.0
    )
    told = [each for each in told if each[0] <= now]
    if len(told) < 2 or now - told[-1][0] > STALE:
        return None
    logs = np.log([flow for _, flow in told])
    day = np.array([calendar.days(at) for at, _ in told])
    odds = float(flow_evidence(day, logs)[-1]) / threshold(FLOW, looks_per_y(day))
    if odds < 1.0:
        return None
    return Drift(
        FLOW,
        "flow",
        told[0][0],
        told[-1][0],
        len(told) - 1,
        told[0][1],
        told[-1][1],
        None,
        odds,
    )


def flow_evidence(day: Numbers, logs: Numbers) -> Numbers:
    """The evidence for a fading flow at each measurement but the first.

    Parameters
    ----------
    day
        When each was measured. [d]
    logs
        Natural logs of the flows.
    """
    later = len(day) - 1
    middle, doubt = np.full((later, later), np.nan), np.zeros((later, later))
    for row in range(later):  # each is held against the mean of all before it
        middle[row, row:] = logs[: row + 1].mean()
        doubt[row] = FLOW_NOISE / np.sqrt(row + 1.0)
    same = np.full((later, later), FLOW_NOISE)
    seen = Compared(
        day=day[1:],
        low=logs[1:] - _SAME_LOG,
        high=logs[1:] + _SAME_LOG,
        stray=np.full(later, 2.0 * _SAME_LOG),
        outlier=np.full(later, _SLIP),
        start_d=day[:-1],
        middle=middle,
        doubt=doubt,
        noise=same,
        bias=np.zeros((later, later)),
        positive=False,
    )
    return drift_evidence(seen, KINDS[FLOW].shapes, anchors=0).total
