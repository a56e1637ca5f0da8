"""Another plan for the same tank, and what comes of it beside what is planned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.forecasts import Band, Diagnostics
from watervane.records.rehearsals import Mishap, Rehearsal


@dataclass(frozen=True, slots=True)
class DatedMishap:
    """A mishap, and how many days after today it begins: 1 is tomorrow at noon."""

    mishap: Mishap
    days_ahead: int = 1


@dataclass(frozen=True, slots=True)
class OtherPlan:
    """What is done otherwise from tomorrow on, for the whole horizon.

    ``food_times`` is what is fed, in meals as planned. ``change_fraction`` of the water is changed
    every ``change_every_days`` in place of every change that is planned; ``None`` leaves them.
    """

    food_times: float = 1.0
    change_fraction: float | None = None
    change_every_days: int = 7
    mishaps: tuple[DatedMishap, ...] = ()

    @property
    def as_planned(self) -> bool:
        """Whether nothing is done otherwise."""
        return self.food_times == 1.0 and self.change_fraction is None and not self.mishaps


@dataclass(frozen=True, slots=True)
class RehearsedPlan:
    """One tank under another plan and as planned, with the same members and the same luck.

    ``planned`` and ``changed`` map names of series (``ammonia_mg_n_per_l``) to bands at
    ``times``. ``rehearsal`` holds both side by side. ``known_until`` is the last reading that
    the members agree with, ``None`` where nothing was read. ``seen_of`` counts the members it
    was run with, and all there are: a first look takes some of them.
    """

    tank: str
    owner: str
    as_of: datetime
    begins: datetime
    horizon_days: int
    seed: int
    plan: OtherPlan
    times: tuple[datetime, ...]
    planned: Mapping[str, Band]
    changed: Mapping[str, Band]
    rehearsal: Rehearsal
    diagnostics: Diagnostics
    known_until: datetime | None = None
    seen_of: tuple[int, int] = (0, 0)

    @property
    def first_look(self) -> bool:
        """Whether only some of the members were run, and all of them are still to come."""
        return self.seen_of[0] < self.seen_of[1]
