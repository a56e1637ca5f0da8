"""A tank that is carried on: news since its last forecast, told at once and then for good.

A new reading gives a forecast at once, of the members as they are, weighed by it; and a while
later its replacement, of members moved by all readings. Whatever came before the day of the last
reading is not looked at again. Where it was edited, members go back to the last time that still
holds: an earlier one of themselves, an anchor, or filling.
"""

from __future__ import annotations

import time as clock
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from watervane.engine.begun_members import stands_for_the_past
from watervane.engine.carried_tank import (
    CarriedTank,
    Carrying,
    last_that_holds,
    old_course,
    old_until,
    thinned,
)
from watervane.engine.composed import Made, Progress, Start, composed, made_ready
from watervane.engine.kept_course import Single, chosen_course, cut, one_after_another
from watervane.engine.known import held_readings
from watervane.engine.member_runs import run_future, run_past, told
from watervane.forecast.milestones import SettledLevels
from watervane.inference.anchored_target import since
from watervane.inference.anchors import Anchor
from watervane.inference.carrying import Assimilation, Carried, Taken
from watervane.inference.fitting import QUICK, fit_members
from watervane.inference.history import (
    SPACING,
    Spacing,
    anchors_crossed,
    begun_at,
    fit_history,
    line_day,
)
from watervane.inference.tempered import Effort
from watervane.process.run import Course, Members, chosen_state, initial_state
from watervane.process.state import TankState
from watervane.records import Finding, Tank

CARRY = Effort(at_end=0.35, most_between=2, most_at_end=3)
PROVISIONAL_MEMBERS = 500  # of the provisional forecast; all of them are weighed
_NEXT = 104729  # from one forecast's seed to the next one's


class Update:
    """A tank with news since it was last foretold.

    Parameters
    ----------
    tank
        With its whole log.
    before
        What the last forecast kept; ``None``: this is the first.
    as_of, horizon_days, members, seed, accuracy, threads, levels, now, progress
        See `watervane.engine.foretell`. Members and seed are of the first forecast; carried
        members stay as many.
    effort
        How long carried members are moved.
    spacing
        Of anchors.
    also_at
        See `watervane.engine.foretell.made`.

    Attributes
    ----------
    way
        ``first``, ``carried``, ``edited`` (the past was, and members go back) or ``anchored``
        (the log grew so long that it is fitted anew from an anchor).
    """

    def __init__(
        self,
        tank: Tank,
        before: CarriedTank | None = None,
        *,
        as_of: datetime | None = None,
        horizon_days: int = 30,
        members: int = 1000,
        seed: int = 1,
        accuracy: str = "printed",
        threads: int = 2,
        levels: SettledLevels | None = None,
        now: datetime | None = None,
        progress: Progress | None = None,
        effort: Effort = CARRY,
        spacing: Spacing = SPACING,
        also_at: Sequence[datetime] = (),
    ) -> None:
        self._begun = clock.perf_counter()
        self._ready = made_ready(
            tank, as_of=as_of, horizon_days=horizon_days, threads=threads, levels=levels, now=now
        )
        self._line, self._threads = self._ready.line, threads
        self._moments = [self._ready.calendar.days(at) for at in also_at]
        self._accuracy, self._progress = accuracy, progress
        self._effort, self._spacing = effort, spacing
        self._seed = seed if before is None else before.seed
        self._count = 0 if before is None else before.count + 1
        self._members = members if before is None else len(before.kept)
        used = () if before is None else before.kept.reading_keys
        self._readings = held_readings(self._ready.known, self._ready.readings, used)
        self._anchors: tuple[Anchor, ...] = ()
        self._before = before
        self._going_on: CarriedTank | None = None
        self.way, self._back_to_d = "first", 0.0
        if before is not None:
            self._go_back(before)
        self._assimilation: Assimilation | None = None
        if self._going_on is not None:
            self._assimilation = Assimilation(
                self._line, self._readings, self._going_on.kept, self._new_seed, threads
            )

    @property
    def _new_seed(self) -> int:
        return self._seed + _NEXT * self._count

    # -- where to go on from -------------------------------------------------------------

    def _go_back(self, before: CarriedTank) -> None:
        """Find the last time that still holds."""
        self._anchors = tuple(a for a in before.anchors if a.holds(self._line, self._readings))
        found = last_that_holds(before, self._line, self._readings)
        self.way = "carried" if found is before else "edited"
        if found is None:
            if self._anchors:
                self._back_to_d = self._line.calendar.bounds_d(self._anchors[-1].day)[0]
            return
        self._back_to_d = found.kept.until_d
        self._going_on = self._with_anchors(found)

    def _with_anchors(self, going_on: CarriedTank) -> CarriedTank | None:
        """Set the anchors that new readings lie beyond, and begin at one if it is time."""
        if not self._readings:
            return None
        line, kept, last_day = self._line, going_on.kept, line_day(self._line, self._readings[-1])
        self._anchors += tuple(
            anchors_crossed(line, self._readings, kept, last_day, self._threads, self._spacing)
        )
        first = kept.first_day
        wanted = self._spacing.ahead(last_day, first)
        if wanted is None:
            return going_on
        old = kept.used(line, self._readings)
        for anchor in reversed(self._anchors):
            if first < anchor.day <= wanted and since(line, old, anchor):
                went, stretch = begun_at(line, self._readings, kept, anchor, self._threads)
                course = old_course(going_on.old, [stretch], self._ready, self._accuracy)
                # Those before remember days that this one does not.
                return replace(going_on, kept=went, earlier=(), old=course, past=None)
        self.way = "anchored"
        return None

    # -- forecasts -----------------------------------------------------------------------

    def provisional(self) -> Carrying | None:
        """The members as they are, weighed by the news; ``None`` where that would mislead.

        Runs are as accurate as the sampler's, and the past is as it was told last.
        """
        going_on, assimilation = self._going_on, self._assimilation
        if going_on is None or assimilation is None:
            return None
        weighed = assimilation.reweighted()
        if not weighed.usable:
            return None
        kept, chosen = going_on.kept, weighed.chosen
        some = np.arange(0, len(kept), max(1, len(kept) // PROVISIONAL_MEMBERS))
        taken = assimilation.provisional(some)
        if going_on.past is None:
            first, start = kept.first_day, taken.carried.start(self._line, taken.members)
        else:
            first, start = kept.day, chosen_state(kept.state, chosen)
        ready, progress = self._ready, self._progress
        recent = run_past(
            ready, taken.members, start, first, accuracy="sampling", progress=progress
        )
        here = chosen_course(recent, some)
        ahead, run = run_future(
            ready, taken.fitted.members, here.final, accuracy="sampling", progress=progress
        )
        weight = {"effective": round(weighed.effective, 1), "members": len(kept)}
        finding = Finding("forecast-provisional", "info", weight)
        old = None if going_on.old is None else chosen_course(going_on.old, some)
        past = None if going_on.past is None else chosen_course(going_on.past, chosen[some])
        parts = [part for part in (old, past, here, ahead) if part is not None]
        made = self._composed(taken, one_after_another(parts), run, "sampling", (finding,))

        def keep() -> CarriedTank:
            days = [cut(recent, self._line, taken.carried.day)]
            if going_on.past is not None:
                days.insert(0, chosen_course(going_on.past, chosen))
            whole = one_after_another(days, Single)
            return self._after(taken.carried, going_on, going_on.old, whole)

        return Carrying(made, keep)

    def replacement(self) -> Carrying:
        """Members moved by all readings, or fitted anew where nothing could be carried on."""
        progress = told(self._progress, "weighing")
        if self._assimilation is not None and self._going_on is not None:
            taken = self._assimilation.rejuvenated(self._effort, progress)
            return self._replaced(taken, self._going_on, self._going_on.old)
        if not self._readings:
            return Carrying(self._prior(), lambda: None)
        anchor, old = self._latest_start()
        history = fit_history(
            self._line,
            self._readings,
            self._members,
            self._new_seed,
            self._threads,
            anchor=anchor,
            spacing=self._spacing,
            effort=QUICK,
            progress=progress,
        )
        self._anchors += tuple(stretch.anchor for stretch in history.stretches)
        old = old_course(old, history.stretches, self._ready, self._accuracy, self._moments)
        fitted = history.fitted
        return self._replaced(Taken(fitted, history.carried, fitted.members), None, old)

    def _replaced(self, taken: Taken, going_on: CarriedTank | None, old: Course | None) -> Carrying:
        start = Start(
            taken.members, taken.carried.first_day, taken.carried.start(self._line, taken.members)
        )
        parts, run = self._run(start.members, start.state, start.day, self._accuracy)
        past = cut(parts[0], self._line, taken.carried.day)
        whole = one_after_another(parts if old is None else [old, *parts])
        parts.clear()  # a long log's would take as much room as the whole
        made = replace(self._composed(taken, whole, run, self._accuracy), start=start)
        after = self._after(taken.carried, going_on, old, past)
        return Carrying(made, lambda: after)

    def _prior(self) -> Made:
        """A tank that nothing was read of."""
        fitted = fit_members(self._line, (), self._members, self._new_seed, self._threads)
        start = initial_state(self._line, fitted.members)
        parts, run = self._run(fitted.members, start, 0, self._accuracy)
        return composed(
            self._ready,
            fitted,
            one_after_another(parts),
            run,
            seed=self._seed,
            accuracy=self._accuracy,
            begun=self._begun,
        )

    def _latest_start(self) -> tuple[Anchor | None, Course | None]:
        """The latest anchor that holds, with what the water did before it."""
        for anchor in reversed(self._anchors if self._before else ()):
            recent = since(self._line, self._readings, anchor)
            old = old_until(self._before, self._line, anchor) if self._before and recent else None
            if old is not None:
                return anchor, old
        self._anchors, self._back_to_d = (), 0.0
        return None, None

    # -- parts of a forecast -------------------------------------------------------------

    def _run(
        self, members: Members, start: TankState, first: int, accuracy: str
    ) -> tuple[list[Course], Members]:
        """What the water does in the rest of the past, and in the future."""
        ready, progress = self._ready, self._progress
        begin_d = self._line.calendar.bounds_d(first)[0]
        moments = [at for at in self._moments if at >= begin_d]
        past = run_past(
            ready, members, start, first, accuracy=accuracy, progress=progress, moments=moments
        )
        ahead, later = run_future(
            ready, members, past.final, accuracy=accuracy, progress=progress, moments=moments
        )
        return [past, ahead], later

    def _composed(
        self,
        taken: Taken,
        course: Course,
        run: Members,
        accuracy: str,
        findings: tuple[Finding, ...] = (),
    ) -> Made:
        anchor = taken.carried.anchor
        recent = tuple(since(self._line, self._readings, anchor))
        made = composed(
            replace(self._ready, readings=recent),
            taken.fitted,
            course,
            run,
            seed=self._seed,
            accuracy=accuracy,
            begun=self._begun,
        )
        so_far = made.forecast.diagnostics
        so_far = replace(
            so_far,
            readings_used=len(self._readings),
            findings=(*findings, *self._history(anchor), *so_far.findings),
        )
        return replace(made, forecast=replace(made.forecast, diagnostics=so_far))

    def _history(self, anchor: Anchor | None) -> tuple[Finding, ...]:
        """What became of the past: edited, or stood for by an anchor."""
        found, calendar = [], self._ready.calendar
        if self.way == "edited":
            back_to = calendar.moment(self._back_to_d)
            found.append(Finding("past-edited", "info", {"at": back_to}))
        if anchor is not None:
            found.append(stands_for_the_past(anchor, calendar))
        return tuple(found)

    def _after(
        self, kept: Carried, going_on: CarriedTank | None, old: Course | None, past: Course
    ) -> CarriedTank:
        """What is kept for the next forecast."""
        before = () if going_on is None else (*going_on.earlier, going_on.kept)
        return CarriedTank(
            kept, thinned(before, kept), self._anchors, old, past, self._seed, self._count
        )
