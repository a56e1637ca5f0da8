"""Questions that pages put to the process that computes, and how far it is with one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from watervane.records.care import CareSchedule
from watervane.records.findings import Finding
from watervane.records.headroom import Headroom
from watervane.records.listed_limits import LimitList
from watervane.records.other_plans import OtherPlan, RehearsedPlan
from watervane.records.resettling import ColonyMove, Resettling
from watervane.records.travels import Homecoming, Trip
from watervane.records.ways import Ways

LIMITS, HOMECOMING, REHEARSAL = "limits", "bring-home", "rehearse"
HEADROOM, WAYS, CARE, RESETTLE = "headroom", "ways", "care", "resettle"
LONG = (HEADROOM, WAYS, CARE, RESETTLE)  # they take about a minute; what they came to last is kept


@dataclass(frozen=True, slots=True)
class Question:
    """One question about one tank as it is now.

    ``tank`` is its key, ``newest_entry`` the number of its last entry, ``day`` the date by its
    own clock: the same question of the same day and entries has the same answer.
    """

    kind: str
    owner: str
    tank: str
    newest_entry: int
    day: date
    trip: Trip | None = None
    plan: OtherPlan | None = None
    species: str | None = None
    length_cm: float | None = None
    move: ColonyMove | None = None
    first_look: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What is known of a question so far.

    ``told`` is what it came to; ``why`` is what stands in its way. With neither it is still being
    worked out: ``stage`` is the key of what is done, ``share`` how much of that. ``overtaken``
    tells that the same window has asked something newer.
    """

    told: (
        LimitList | Homecoming | RehearsedPlan | Headroom | Ways | CareSchedule | Resettling | None
    ) = None
    why: tuple[Finding, ...] = ()
    stage: str = ""
    share: float = 0.0
    overtaken: bool = False

    @property
    def open(self) -> bool:
        """Whether something is still to come."""
        return self.told is None and not self.why and not self.overtaken


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """The last answer to a question that takes long, and when it was found."""

    question: Question
    told: Headroom | Ways | CareSchedule | Resettling
    made_at: datetime
