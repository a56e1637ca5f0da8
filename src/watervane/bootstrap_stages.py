"""Tanks stood ready in the process that computes, so that another plan is run at once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from watervane.app import BadInput
from watervane.app.question_ports import Progress
from watervane.bootstrap_warmth import warm_up
from watervane.records import Finding, Tank
from watervane.records.other_plans import OtherPlan, RehearsedPlan
from watervane.records.questions import Question

if TYPE_CHECKING:
    from watervane.engine import CarriedTank
    from watervane.engine.stage import Stage

KEPT_READY = 4  # tanks, those asked about last
HORIZON_DAYS = 21
THREADS = 2  # nothing else is computed while somebody waits


@dataclass
class PlansRehearsed:
    """Rehearsals of this process.

    Parameters
    ----------
    latest
        A tank as its last forecast left it, by its key.
    """

    latest: Callable[[str], CarriedTank | None]
    _stages: OrderedDict[tuple[object, ...], Stage] = field(default_factory=OrderedDict)
    _ready: threading.Event = field(default_factory=threading.Event)  # for a first look

    def __call__(
        self,
        question: Question,
        plan: OtherPlan,
        tank: Tank,
        as_of: datetime,
        progress: Progress,
    ) -> RehearsedPlan:
        """See `watervane.app.question_ports.PlanRehearser`."""
        warm_up()
        from watervane.engine import CannotRehearse
        from watervane.engine.other_plan import rehearse_plan

        stage = self._stage(question, tank, as_of, progress)

        def told(share: float) -> None:
            progress("rehearsal", share)

        told(0.0)
        soon = question.first_look and self._ready.is_set()
        try:
            return rehearse_plan(stage, plan, threads=THREADS, progress=told, first_look=soon)
        except CannotRehearse as error:
            told_of = {"kind": error.mishap.kind}
            problem = Finding(f"mishap-{error.reason}", "problem", told_of)
            raise BadInput([problem]) from error

    def _stage(self, question: Question, tank: Tank, as_of: datetime, progress: Progress) -> Stage:
        """The tank as of these entries and this day."""
        key = (question.owner, question.tank, question.newest_entry, question.day)
        if key not in self._stages:
            self._stages[key] = stage = self._set(question.tank, tank, as_of, progress)
            if not self._ready.is_set():
                threading.Thread(target=self._make_ready, args=(stage,), daemon=True).start()
        self._stages.move_to_end(key)
        while len(self._stages) > KEPT_READY:
            self._stages.popitem(last=False)
        return self._stages[key]

    def _make_ready(self, stage: Stage) -> None:
        """Beside all else: until then a first look is by all members."""
        from watervane.engine import stage as standing

        standing.make_ready(stage)
        self._ready.set()

    def _set(self, key: str, tank: Tank, as_of: datetime, progress: Progress) -> Stage:
        """Of carried members where the log is still theirs, weighed by what was read since."""
        from watervane.engine import stage

        carried = stage.carried_now(
            tank, self.latest(key), as_of=as_of, threads=THREADS, progress=progress
        )
        return stage.set_stage(
            tank,
            carried,
            as_of=as_of,
            horizon_days=HORIZON_DAYS,
            threads=THREADS,
            progress=progress,
        )
