"""Every limit that holds for those in a tank, in the water as it was last read."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from watervane.engine.held_limits import held_limits
from watervane.engine.known import as_known, moment_of_forecast, present
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import SUBJECTS, TIERS, Limit, Water
from watervane.limits.told import told_limit
from watervane.process.assumed import ASSUMED
from watervane.process.calendar import Calendar
from watervane.process.read_water import DRAWS, known_water, latest_reading
from watervane.records import Finding, LimitList, ListedLimit, Tank, ToldLimit

PLANNED_DAYS = 60  # animals planned within these are listed too


def list_limits(
    tank: Tank, *, as_of: datetime | None = None, now: datetime | None = None, seed: int = 1
) -> LimitList:
    """List limits by subject and tier, the strictest of each marked.

    Parameters
    ----------
    tank
        Its water is taken from the latest readings, else from the source water and the heater.
    as_of
        Moment whose animals count, with those planned within `PLANNED_DAYS`; the last log entry
        by default.
    now
        The present, for telling plans from log entries.
    seed
        Of all that is not known of the water.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    now = present(tank, now or datetime.now(UTC))
    as_of = moment_of_forecast(tank, as_of, calendar, now)
    known = as_known(tank, as_of, now)
    until_d = calendar.days(as_of + timedelta(days=PLANNED_DAYS))
    whose = held_limits(known, calendar, calendar.days(as_of), until_d)
    water = known_water(known, seed)
    found: dict[str, Limit] = {}
    names: dict[str, dict[str, None]] = {}
    for held in whose.held:
        for limit in held.limits:
            found.setdefault(limit.key, limit)
            names.setdefault(limit.key, {}).update(dict.fromkeys(limit.animals))
    listed = [_listed(limit, water, tuple(names[key])) for key, limit in found.items()]
    order = {subject: place for place, subject in enumerate(dict.fromkeys(SUBJECTS.values()))}
    listed.sort(key=lambda one: (order[one.limit.subject], TIERS.index(one.limit.tier)))
    return LimitList(
        tank.name,
        tank.owner,
        tuple(dict.fromkeys(name for found in names.values() for name in found)),
        {
            name: number_quantiles(water.condition(name))
            for name in ("ph", "temperature_c", "chloride_mg_per_l")
        },
        _marked(listed),
        (*whose.findings, *_assumed(known)),
        tank.allowed_risk,
    )


def _assumed(tank: Tank) -> tuple[Finding, ...]:
    told = latest_reading(tank, "chloride"), tank.source_water.chloride_mg_per_l
    if told != (None, None):
        return ()
    return (Finding("limits-assumed-chloride", "info", {"chloride": ASSUMED["chloride_mg_per_l"]}),)


def _listed(limit: Limit, water: Water, animals: tuple[str, ...]) -> ListedLimit:
    told = told_limit(limit, water)
    level = np.broadcast_to(limit.level(water), (DRAWS,))
    return ListedLimit(
        replace(told, animals=animals), number_quantiles(np.asarray(level)), leads=False
    )


def _marked(listed: list[ListedLimit]) -> tuple[ListedLimit, ...]:
    """Free and total ammonia are compared as total ammonia in the middle water."""
    strictest: dict[tuple[str, str, str], float] = {}
    for one in listed:
        kind, level = _compared(one.limit)
        strictest[kind] = max(strictest.get(kind, level), level)
    return tuple(
        ListedLimit(one.limit, one.level, leads=_compared(one.limit)[1] >= strictest[kind])
        for one in listed
        for kind in (_compared(one.limit)[0],)
    )


def _compared(limit: ToldLimit) -> tuple[tuple[str, str, str], float]:
    """Kind of a limit, and a number that is the higher the stricter it is."""
    level = limit.level if limit.total_mg_n_per_l is None else limit.total_mg_n_per_l
    strict = -level if limit.side == "above" else level
    return (limit.subject, limit.tier, limit.side), strict
