"""The tanks of a keeper at a glance, the one that could lose animals soonest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from watervane.records.jobs import Job
from watervane.records.today import Act, Today


@dataclass(frozen=True, slots=True)
class Looming:
    """The first day on which a limit of a tier is passed with more chance than is accepted."""

    tier: str
    on: date
    chance: float


@dataclass(frozen=True, slots=True)
class TankRound:
    """One tank of the rounds.

    Parameters
    ----------
    tank
        Its name.
    acute, chronic
        What looms, by what is kept of it; ``None`` where nothing does, or nothing is kept.
    today
        The newest judgement; ``None`` before there is one.
    current
        Whether that rests on all that was written, and speaks of today.
    grade
        See `KeptResult`; empty before there is a judgement.
    entries_since
        How many entries were written that it does not know of.
    animals
        Whether there are any; taken to be so where nothing is kept.
    next_step, due_at
        What is to be done next, and when; ``None`` where nothing is.
    job
        The last one asked for about today, if it has not been done.
    """

    tank: str
    acute: Looming | None
    chronic: Looming | None
    today: Today | None
    current: bool
    grade: str
    entries_since: int
    animals: bool
    next_step: Act | None
    due_at: datetime | None
    job: Job | None


@dataclass(frozen=True, slots=True)
class TankRounds:
    """All of them, in order, as of a moment."""

    as_of: datetime
    rounds: tuple[TankRound, ...]
