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
    """One unknown the date of settled still hangs on.

    ``weight`` is the share of the date's spread among members that goes with it alone.
    """

    name: str
    weight: float


@dataclass(frozen=True, slots=True)
class Moved:
    """The reading that told most that the others did not.

    ``days`` is how much later the middle date of settled is with the reading than without it,
    ``narrowed_days`` how much narrower its 80 % range is; ``None`` where a date lies beyond the
    horizon, or where chance explains the difference.
    """

    at: datetime
    quantity: str
    days: float | None
    narrowed_days: float | None


@dataclass(frozen=True, slots=True)
class Taught:
    """What was learned, what is still open and matters, and which reading counted most."""

    learned: tuple[Learned, ...]
    still_open: tuple[StillOpen, ...]
    moved: Moved | None = None
