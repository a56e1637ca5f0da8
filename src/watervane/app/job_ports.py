"""What jobs need from outside: an engine that carries tanks on, and a process to work in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from watervane.app.question_ports import Asker, Listener, PlanRehearser
from watervane.records import Colonies, Forecast, NitrogenLedger, Tank, TankRounds, Today

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class WorkRequest:
    """How a worker works.

    ``once`` ends it when nothing waits; ``keep_current`` lets it ask by itself for what rests on
    fewer entries than there are, or speaks of another day.
    """

    once: bool = False
    keep_current: bool = False
    members: int = 1000
    seed: int = 1
    threads: int | None = None  # as many as the process may use
    only_answers: bool = False  # to questions; jobs are left alone


class CarriedForeteller(Protocol):
    """Foretell a tank from where its last forecast left off, if this process made it.

    ``provisional`` gets the forecast of the members as they were, weighed by the news, where
    there are any; the full one is returned. What it raises ends the job; what ``progress`` raises
    goes through it, and the tank is carried on from where it was.
    """

    def __call__(
        self,
        key: str,
        tank: Tank,
        request: WorkRequest,
        as_of: datetime,
        progress: Progress,
        provisional: Callable[[Forecast], None],
    ) -> Forecast: ...


class InsideLooker(Protocol):
    """Ledger and colonies of the members of a tank's last forecast.

    ``None`` where this process made none, or has told of them already.
    """

    def __call__(self, key: str, progress: Progress) -> tuple[NitrogenLedger, Colonies] | None: ...


class WorkerProcess(Protocol):
    """A worker in a process of its own, started again whenever it dies before it is stopped."""

    @property
    def pid(self) -> int | None:
        """Of the process that was started last."""
        ...

    @property
    def failed(self) -> bool:
        """Whether it keeps dying as soon as it is started."""
        ...

    def stop(self, patience_s: float = 10.0) -> None:
        """Let it give back what it is at, and end; after ``patience_s`` [s] end it by force."""
        ...


class WorkerStarter(Protocol):
    """Start a worker for the journal; it leaves the work to one that is there already."""

    def __call__(self, request: WorkRequest) -> WorkerProcess: ...


@dataclass(frozen=True, slots=True)
class JobPorts:
    """The real parts behind jobs, or the stand-ins of a test."""

    foretell: CarriedForeteller
    start_worker: WorkerStarter
    alone: Callable[[], AbstractContextManager[bool]]  # the journal's one place for a worker
    step_back: Callable[[], int]  # be quiet, keep off one core; how many threads are left to use
    today_of_text: Callable[[str], Today]
    rounds_document: Callable[[TankRounds], Mapping[str, Any]]
    ask: Asker
    listen: Listener
    rehearse_plan: PlanRehearser
    look_inside: InsideLooker | None = None
