"""Work that waits for the journal's worker, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from watervane.records.findings import Finding

JOB_KINDS = ("forecast", "today")
JOB_STATES = ("waiting", "running", "done", "failed", "cancelled")
PROVISIONAL, FULL = "provisional", "full"


@dataclass(frozen=True, slots=True)
class Job:
    """One forecast, or one judgement of today, that was asked for.

    Asked for again for the same ``tank`` (its key), ``kind``, ``newest_entry`` and ``day`` (by
    the tank's own clock), it is the same job. ``state`` is one of `JOB_STATES`, ``stage`` the key
    of what it is at, ``progress`` the share done of that. ``beaten_at`` is when its worker last
    gave a sign of life. ``why`` tells why it failed or was cancelled.
    """

    key: str
    owner: str
    tank: str
    kind: str
    newest_entry: int
    day: date
    state: str
    asked_at: datetime
    stage: str = ""
    progress: float = 0.0
    attempts: int = 0
    started_at: datetime | None = None
    beaten_at: datetime | None = None
    ended_at: datetime | None = None
    why: Finding | None = None

    @property
    def open(self) -> bool:
        """Whether something is still to come of it."""
        return self.state in ("waiting", "running")


@dataclass(frozen=True, slots=True)
class KeptResult:
    """The newest result of a tank; ``document`` is its published JSON text.

    ``grade`` is ``provisional`` (members as they were, weighed by the news; a judgement still
    without steps) or ``full``. ``newest_entry`` is the number of the last entry it rests on.
    ``current_until`` is the end of the day it speaks of.
    """

    kind: str
    grade: str
    as_of: datetime
    current_until: datetime
    newest_entry: int
    seed: int
    members: int
    model_version: str
    parameter_digest: str
    document: str
    made_at: datetime
