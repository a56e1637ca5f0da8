"""The forecast that trouble is held against: made before the readings and deeds it is judged by."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime, timedelta

from watervane.app.ports import BadInput, Ports, Progress, Request
from watervane.app.unit_of_work import View
from watervane.app.watching import unknown_to
from watervane.records import Feed, Forecast, Tank

DEEDS_WITHIN = timedelta(days=2)  # what was done since then is asked for, and may be the cause
OLDEST = timedelta(days=30)
SHORT_LOG = timedelta(days=3)  # of a younger tank no log tells anything yet
LOOKED_AT = 30  # kept forecasts, the newest
MEMBERS, AHEAD_D = 300, 3


def kept_before(
    key: str, tank: Tank, moment: datetime, view: View, ports: Ports
) -> Forecast | None:
    """The newest kept forecast that knew nothing of the trouble, but of all before it.

    Parameters
    ----------
    key, tank
        Of the journal.
    moment
        Of the trouble, aware.
    view
        Of the journal.
    ports
        The outside parts.
    """
    latest = _before(tank, moment)
    entries = view.entries(key)
    for kept in sorted(view.forecasts(key, LOOKED_AT), key=lambda each: each.as_of, reverse=True):
        if kept.as_of > latest:
            continue
        missed = [each for each in unknown_to(kept, entries) if not isinstance(each, Feed)]
        old = kept.as_of < moment - OLDEST
        if old or any(each.at < moment - DEEDS_WITHIN for each in missed):
            return None
        with suppress(BadInput):
            return ports.pages.forecast_of_text(kept.document)
    return None


def made_before(
    tank: Tank, moment: datetime, ports: Ports, progress: Progress | None
) -> Forecast | None:
    """A forecast made now as of two days before; none where the log is too short for one."""
    first = min((each.at for each in (*tank.events, *tank.readings)), default=moment)
    as_of = moment - DEEDS_WITHIN
    if as_of - first < SHORT_LOG:
        return None
    request = Request(as_of=as_of, horizon_days=AHEAD_D, members=MEMBERS)
    return ports.foretell(tank, request, as_of, progress)


def _before(tank: Tank, moment: datetime) -> datetime:
    """Before the readings of the last day and a half, which speak of the trouble."""
    recent = (each.at for each in tank.readings if moment - DEEDS_WITHIN <= each.at <= moment)
    return min(recent, default=moment) - timedelta(seconds=1)
