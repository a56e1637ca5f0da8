"""What a frightened keeper answers, and what to do in the next hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class AidAnswers:
    """At most three answers; each may be missing.

    ``see`` is one key of what is seen. ``done`` are keys of what was done in the last two days;
    ``none`` means nothing of them, an empty tuple that nobody knows. ``partly`` means that what is
    named was done, and that nobody knows what else. ``tests`` has a level by test.
    """

    see: str = ""
    done: tuple[str, ...] = ()
    tests: Mapping[str, str] = field(default_factory=dict)
    partly: bool = False


@dataclass(frozen=True, slots=True)
class AidCause:
    """A cause, how likely it is by the table, and whether the answers leave it open."""

    key: str
    share: float
    open: bool


@dataclass(frozen=True, slots=True)
class AidAct:
    """One act of the hour: when it begins, and the likeliest cause it helps under."""

    key: str
    start_min: float
    minutes: float
    helps: str = ""


@dataclass(frozen=True, slots=True)
class AidLeft:
    """What is left alone in this hour, and the likeliest cause under which it harms."""

    key: str
    harms: str


@dataclass(frozen=True, slots=True)
class FirstAid:
    """The next hour: acts in their order, what to leave alone, what to read next.

    The first ``at_once`` of the acts harm under no open cause though no other follows.
    ``no_change`` are the open causes, the likeliest first, for whose sake no water is changed.
    """

    answers: AidAnswers
    acts: tuple[AidAct, ...]
    left: tuple[AidLeft, ...]
    causes: tuple[AidCause, ...]
    next_tests: tuple[str, ...]
    at_once: int = 0
    no_change: tuple[str, ...] = ()
