"""Which dated events of a log were plans at a moment, and which were entries made later."""

from __future__ import annotations

from datetime import datetime

from watervane.records.tank import Tank


def plans_begin(tank: Tank, as_of: datetime, now: datetime) -> datetime:
    """The moment after which a dated event counts as a plan for a forecast as of ``as_of``.

    A log does not tell when a line was written. As of the last reading or after it, nothing
    shows that the log went on, so whatever is dated later is a plan: this is ``as_of``
    itself. As of a moment before a reading, the log did go on: what is dated up to the last
    reading, or up to the present, may have been done without ever having been planned, and
    only what is dated later still is a plan.

    Parameters
    ----------
    tank
        With its whole log.
    as_of
        Moment of the forecast.
    now
        The present; no earlier than the last reading, as nobody reads a kit ahead of time.
    """
    later = [reading.at for reading in tank.readings if reading.at > as_of]
    return max([now, as_of, *later]) if later else as_of
