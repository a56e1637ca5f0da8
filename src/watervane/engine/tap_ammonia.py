"""Ammonia that a change of water brings with it: chloramine is chlorine bound to ammonia."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from watervane.chemistry.disinfectant import ammonia_from_chloramine_mg_n_per_l
from watervane.engine.showable import middle
from watervane.process.assumed import ASSUMED
from watervane.process.calendar import Calendar, events_through
from watervane.records import Finding, Reading, Tank, WaterChange

LINGERS = timedelta(hours=48)  # house estimate: settled colonies eat it within a day or two
RECENT = timedelta(days=30)


def tap_share(tank: Tank, at: datetime, calendar: Calendar) -> float:
    """Ammonia the changes shortly before a moment brought, if none was eaten. [mg N/L]

    Where neither chlorine nor chloramine is told, chloramine is assumed as everywhere.
    """
    water = tank.source_water
    chloramine = ASSUMED["chloramine_mg_per_l"] if unknown(tank) else water.chloramine_mg_per_l
    held = float(ammonia_from_chloramine_mg_n_per_l(chloramine or 0.0))
    held += water.ammonia_mg_n_per_l or 0.0
    if held <= 0.0:
        return 0.0
    last_day = int(calendar.days(at)) + 1
    shares = [
        event.fraction
        for event in events_through(tank, calendar, last_day)
        if isinstance(event, WaterChange) and at - LINGERS <= event.at <= at
    ]
    left = 1.0
    for share in shares:
        left *= 1.0 - share
    return held * (1.0 - left)


def unknown(tank: Tank) -> bool:
    """Whether nothing is told of what disinfects the source water."""
    water = tank.source_water
    return water.chlorine_mg_per_l is None and water.chloramine_mg_per_l is None


def told_as_tap(
    tank: Tank, readings: Sequence[Reading], calendar: Calendar, now: datetime
) -> list[Finding]:
    """One finding of the recent readings that the tap explains."""
    recent = [each for each in readings if now - each.at <= RECENT]
    if not recent:
        return []
    last = recent[-1]
    told = {
        "count": len(recent),
        "day": last.at.date(),
        "seen": last.diluted * middle(last.value, last.quantity),
        "brought": tap_share(tank, last.at, calendar),
    }
    key = "watch-tap-assumed" if unknown(tank) else "watch-tap-ammonia"
    return [Finding(key, "info", told)]
