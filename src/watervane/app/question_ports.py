"""What asking the process that computes needs from outside, on both ends."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Protocol

from watervane.records import Headroom, Tank, Ways
from watervane.records.care import CareSchedule
from watervane.records.listed_limits import LimitList
from watervane.records.other_plans import OtherPlan, RehearsedPlan
from watervane.records.questions import Answer, KeptAnswer, Question
from watervane.records.resettling import Resettling
from watervane.records.travels import Homecoming

Progress = Callable[[str, float], None]
Told = LimitList | Homecoming | RehearsedPlan | Headroom | Ways | CareSchedule | Resettling


class Asker(Protocol):
    """Put a question to the process that computes, which is started where there is none.

    ``window`` is who asks: a newer question of the same window takes the place of the one before.
    The answer is waited for ``wait_s`` [s] at most; asked again, the same question is looked up.
    """

    def __call__(self, question: Question, *, window: str, wait_s: float) -> Answer: ...

    def known(self, question: Question) -> Answer:
        """What is known of a question that was asked; nobody asks it by this."""
        ...

    def running(self, kind: str, owner: str, tank: str) -> tuple[Question, Answer] | None:
        """The question of a kind about a tank that is being worked out, the one asked last."""
        ...

    def stop(self, kind: str, owner: str, tank: str) -> None:
        """Nobody waits any more for what of a kind is being worked out about a tank."""
        ...

    def kept(self, kind: str, owner: str, tank: str) -> KeptAnswer | None:
        """What a question that takes long came to last."""
        ...


class Listener(Protocol):
    """Answer what comes in by standard input until that is closed; it blocks meanwhile."""

    def __call__(self, answer: Callable[[Question, Progress], Told]) -> None: ...


class PlanRehearser(Protocol):
    """Run a tank under another plan, from members of this process where it has any.

    ``BadInput`` where the tank gives a part of the plan nothing to work on.
    """

    def __call__(
        self,
        question: Question,
        plan: OtherPlan,
        tank: Tank,
        as_of: datetime,
        progress: Progress,
    ) -> RehearsedPlan: ...
