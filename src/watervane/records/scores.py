"""How good past forecasts of one tank were, reading by reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from watervane.records.findings import Finding

OWN, PRIOR, LAST_VALUE, TREND, RULE = "watervane", "prior", "last value", "trend", "rule"
COVERED = (0.5, 0.8, 0.9)  # central intervals whose coverage is counted
RULE_WEEKS = (4.0, 6.0)  # after filling: common practice, no source


@dataclass(frozen=True, slots=True)
class Mark:
    """What one forecaster earned with one reading; ``place`` as in `forecast.scores.places`."""

    log_score: float
    crps: float  # in the unit of the reading
    place: tuple[float, float]


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """One later reading, as one moment's forecasters saw it coming; ``marks`` by forecaster."""

    as_of: datetime
    at: datetime
    quantity: str
    raw: str
    marks: Mapping[str, Mark]
    kit: str | None = None


@dataclass(frozen=True, slots=True)
class DateMark:
    """What one forecaster earned with the settled date."""

    crps_d: float
    place: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Moment:
    """One forecast of a replay; ``settled`` by forecaster, empty where no date is scored."""

    as_of: datetime
    readings_used: int
    effective_members: float
    health: str
    settled: Mapping[str, DateMark] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ScoreSummary:
    """Means over the readings of one quantity, or over all of them (``quantity`` empty).

    ``crps`` is in the unit of the quantity, ``None`` over all. ``crps_ratio`` is the program's
    own CRPS over this forecaster's on the same readings, under 1 where its own is better;
    over all, the geometric mean over quantities, weighed by readings. ``covered`` gives for
    each of `COVERED` how many of the readings lie inside.
    """

    quantity: str
    forecaster: str
    count: int
    log_score: float
    crps: float | None
    crps_ratio: float | None
    covered: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Scores:
    """A replay of one log, or stored forecasts set against it.

    ``settled`` are the last high and the first low reading of the stretch that shows
    settling; without it ``settled_reason`` is the key of why not.
    """

    tank: str
    owner: str
    made: str  # replay, stored
    members: int
    seed: int
    moments: tuple[Moment, ...]
    rows: tuple[ScoreRow, ...]
    summaries: tuple[ScoreSummary, ...]
    settled: tuple[datetime, datetime] | None
    settled_reason: str | None
    seconds: float
    model_version: str
    parameter_digest: str
    findings: tuple[Finding, ...] = ()
