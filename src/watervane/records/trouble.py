"""What a keeper tells of trouble in a tank, and which causes explain it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from watervane.records.first_aid import FirstAid
from watervane.records.readings import Reading
from watervane.records.tank import Kit
from watervane.records.today import AtOnce

NONE_DONE = "none"


@dataclass(frozen=True, slots=True)
class TroubleAnswers:
    """All that is told of trouble; whatever is missing rules nothing out.

    ``see`` are signs seen, ``absent`` signs looked for and not there. ``who`` suffers and
    ``since`` when, each one key or empty. ``done`` are deeds of the last two days, ``none`` alone
    means nothing of them, an empty tuple that nobody knows; ``partly`` that others may have been
    done, too; ``log_alone`` are those that only the tank's log tells. ``readings`` are of the water
    now, ``before`` of the water before it began. ``foretold`` is what a forecast made at
    ``foretold_at``, before all that, expects of the water now: the central nine tenths by quantity.
    """

    see: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    who: str = ""
    since: str = ""
    done: tuple[str, ...] = ()
    partly: bool = False
    log_alone: tuple[str, ...] = ()
    age_days: float | None = None
    readings: tuple[Reading, ...] = ()
    before: tuple[Reading, ...] = ()
    kits: Mapping[str, Kit] = field(default_factory=dict)
    liked_c: tuple[float, float] | None = None  # warmth that suits all animals present
    heads: int | None = None  # animals in the tank, where they are told by name
    kinds_kept: int | None = None  # of them
    injected: bool = False  # carbon dioxide for plants
    foretold: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    foretold_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TroubleCause:
    """A cause, its probability, what it is weighed by, and what speaks for it most.

    ``weighed`` is ``water`` where imagined waters are held against the readings, ``table`` where
    the table of signs alone tells. ``speaks`` are pairs of a kind of answer and its key.
    """

    key: str
    probability: float
    weighed: str
    speaks: tuple[tuple[str, str], ...] = ()
    against: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TroubleCheck:
    """What to look at or to test next, and how much it is expected to tell of the cause. [bit]

    ``kind`` is ``test`` or ``look``; ``owned`` whether the keeper has a kit for it.
    """

    kind: str
    key: str
    bits: float
    owned: bool = True


@dataclass(frozen=True, slots=True)
class SpokenChange:
    """A change of water that readings speak for, and how much of it harms under no open cause.

    ``asked_share`` is what they ask for in all, ``share`` and ``litres`` what is changed in this
    hour, from ``start_min`` on, ``litres`` none where the volume is not told. ``stirred``: the new
    water must lose its gas before.
    """

    asked_share: float
    share: float
    litres: float | None
    start_min: float
    stirred: bool


@dataclass(frozen=True, slots=True)
class Trouble:
    """Causes by probability, what to check next, and the hour that harms under none still open.

    ``open_bits`` is how much of the cause is still open, ``asked_bits`` how much was before
    anything was told. [bit]
    ``alarms`` are the readings that pass a limit of the animals in ``held_against``, whatever the
    cause. ``spoken_change`` is the change of water they speak for, none where none may be made.
    """

    answers: TroubleAnswers
    causes: tuple[TroubleCause, ...]
    checks: tuple[TroubleCheck, ...]
    hour: FirstAid
    open_bits: float
    asked_bits: float
    veterinarian: tuple[str, ...] = ()
    alarms: AtOnce = field(default_factory=AtOnce)
    held_against: tuple[str, ...] = ()
    spoken_change: SpokenChange | None = None
