"""What a mishap would do to one tank, beside the future as planned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from watervane.records.forecasts import Diagnostics, NumberQuantiles
from watervane.records.limits import ToldLimit


@dataclass(frozen=True, slots=True)
class Mishap:
    """Something that may happen to a tank; ``size`` is in the unit of its kind."""

    kind: str
    size: float


@dataclass(frozen=True, slots=True)
class Extreme:
    """How far one quantity goes within the horizon, as planned and with the mishap."""

    series: str  # ammonia_mg_n_per_l, ph, ...
    highest: bool  # else the lowest
    planned: NumberQuantiles
    changed: NumberQuantiles


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """One mishap rehearsed.

    ``passed`` maps a subject and tier (``nitrite_acute``) to the chance that the strictest limit
    of those then in the tank is passed at any time within the horizon, as planned and with the
    mishap, and ``limits`` the same name to the limit that leads with the mishap. ``colonies``
    maps ``ammonia`` and ``nitrite`` to the share of the colony left a day after the mishap, of
    what it would have been. ``days_beyond`` maps the same name as ``passed`` to the days of the
    horizon on which it is passed, the mean of all members, as planned and with the mishap. [d]
    ``warmth_change_c_per_h`` is how fast the water may warm or cool for those in the tank,
    ``None`` where nobody is.
    """

    mishap: Mishap
    begins: datetime
    ends: datetime
    extremes: tuple[Extreme, ...]
    passed: Mapping[str, tuple[float, float]]
    colonies: Mapping[str, NumberQuantiles]
    limits: Mapping[str, ToldLimit] = field(default_factory=dict)
    days_beyond: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    warmth_change_c_per_h: float | None = None


@dataclass(frozen=True, slots=True)
class Rehearsals:
    """All mishaps asked for, against one tank as it stood at a moment."""

    tank: str
    owner: str
    as_of: datetime
    horizon_days: int
    seed: int
    rehearsed: tuple[Rehearsal, ...]
    diagnostics: Diagnostics
