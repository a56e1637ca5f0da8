"""What the readings of a log taught about one tank."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Learned:
    """One unknown the readings tell something of.

    ``certainty`` is the share of its prior variance taken away; ``shift`` how far its middle
    moved, in prior spreads.
    """

    name: str
    certainty: float
    shift: float


@dataclass(frozen=True, slots=True)
class StillOpen:
    """One unknown the date asked about still hangs on.

    ``weight`` is the share of the date's spread among members that goes with it alone.
    """

    name: str
    weight: float


@dataclass(frozen=True, slots=True)
class Moved:
    """The reading that moved the date asked about most.

    ``days`` is how much later its middle is with the reading than without it, ``narrowed_days``
    how much narrower its 80 % range is; ``None`` where a date lies beyond the horizon. Where not
    ``told``, it moved the date so far that members would have to be drawn anew to tell.
    """

    at: datetime
    quantity: str
    days: float | None
    narrowed_days: float | None
    told: bool = True


@dataclass(frozen=True, slots=True)
class Taught:
    """What was learned, what is still open and matters, and which reading counted most.

    ``about`` is the date it matters for: ``settled``, else ``nitrite_peak`` or ``ammonia_peak``;
    empty where no date is foretold. No reading moved it by more than ``each_within_days``;
    ``None`` where that cannot be told.
    """

    learned: tuple[Learned, ...]
    still_open: tuple[StillOpen, ...]
    moved: Moved | None = None
    about: str = "settled"
    each_within_days: float | None = None
