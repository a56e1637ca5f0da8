"""Quiet early warnings: what readings say that the forecasts made before them did not expect."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from watervane.records.events import Event
from watervane.records.findings import Finding
from watervane.records.forecasts import Forecast


@dataclass(frozen=True, slots=True)
class Foretold:
    """A forecast as it was kept, and what it could not know.

    ``unknown`` are events after its moment that were written when it had been made.
    """

    forecast: Forecast
    unknown: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True)
class Drift:
    """One number of the water that leaves the course foretold for it.

    Parameters
    ----------
    kind
        ``nitrate-rising``, ``kh-sliding``, ``ammonia-back``, ``temperature-wanders`` or
        ``flow-fading``.
    quantity
        What was read; ``flow`` of a filter.
    since
        The moment of the forecast that no longer holds; of a flow the first one told.
    last_read
        When it was read last.
    readings
        How many were taken since.
    expected, seen
        What that forecast expected at the last reading, and what was read then, in the unit of
        the quantity; of a flow, L/h.
    by_week
        How much a week it leaves that course by; ``None`` for a jump or a wandering. [1/week]
    odds
        How many times over its threshold the evidence stands; 1 is just told.
    """

    kind: str
    quantity: str
    since: datetime
    last_read: datetime
    readings: int
    expected: float
    seen: float
    by_week: float | None
    odds: float


@dataclass(frozen=True, slots=True)
class Watch:
    """What the watch over one tank found, as of a moment.

    ``drifts`` are told, the strongest first; ``explained`` are readings that would have been but
    have a known cause; ``compared`` counts the readings looked at by kind; ``false_alarms_per_y``
    is how many drifts a year of an honest log brings at most; ``last_read`` is when anything that
    is watched was read last.
    """

    as_of: datetime
    drifts: tuple[Drift, ...] = ()
    explained: tuple[Finding, ...] = ()
    compared: Mapping[str, int] = field(default_factory=dict)
    false_alarms_per_y: float = 1.0
    last_read: datetime | None = None
