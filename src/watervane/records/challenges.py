"""A challenge test: a dose of ammonia, a day's wait, a reading, without animals."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics, NumberQuantiles
from watervane.records.readings import ReadingValue
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing the kit may show: its chance, and the daily food the colony then carries.

    ``carries_g_per_d`` is what the colony carries in members that made this reading likely.
    """

    value: ReadingValue
    chance: float
    carries_g_per_d: NumberQuantiles


@dataclass(frozen=True, slots=True)
class ChallengeReading:
    """One quantity read after the wait; ``answers`` are all its kit can show, ascending.

    ``carries_g_per_d`` is the daily food whose nitrogen the colony that lives on the quantity can
    turn over, as known now. ``narrowing`` is the expected width of what is then known of it, as
    a share of the width now: of the distance between logarithms of p05 and p95.
    """

    quantity: str
    kit: str | None
    carries_g_per_d: NumberQuantiles
    narrowing: float
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Challenge:
    """What to dose and when, when to read, and what each reading would say.

    ``dose_mg_n_per_l`` is by how much the dose raises ammonia, ``dose_g`` how much of the
    substance that takes, over the range of its strength. ``carries_g_per_d`` is the daily food
    both colonies carry. ``chosen`` tells that the program chose the dose, the one that narrows
    most what is known of the colonies. ``gone_chance`` is that of ammonia being down to the
    settled level when it is read.
    """

    tank: str
    owner: str
    as_of: datetime
    seed: int
    substance: str
    dose_mg_n_per_l: float
    dose_g: Span
    chosen: bool
    dose_at: datetime
    read_at: datetime
    carries_g_per_d: NumberQuantiles
    normal_g_per_d: float | None
    gone_chance: float
    readings: tuple[ChallengeReading, ...]
    findings: tuple[Finding, ...]
    diagnostics: Diagnostics
