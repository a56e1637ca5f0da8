"""A tank that is carried on: what its last forecast knew, kept for the next one.

A new reading gives a forecast at once, of the members as they are, weighed by it; and a while
later its replacement, of members moved by all readings. Whatever came before the day of the last
reading is not looked at again. Where it was edited, members go back to the last time that still
holds: an earlier one of themselves, an anchor, or filling.
"""

from __future__ import annotations

import time as clock
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from watervane.engine.composed import (
    Made,
    Progress,
    composed,
    made_ready,
)
from watervane.engine.kept_course import Single, chosen_course, cut, one_after_another
from watervane.engine.known import held_readings
from watervane.engine.member_runs import run_on, told
from watervane.forecast.milestones import SettledLevels
from watervane.inference.anchored_target import since, target_of
from watervane.inference.anchors import Anchor
from watervane.inference.carrying import Assimilation, Carried, ChangedPastError, Taken
from watervane.inference.fitting import QUICK, fit_members
from watervane.inference.history import (
    SPACING,
    Spacing,
    Stretch,
    anchors_crossed,
    begun_at,
    fit_history,
    line_day,
)
from watervane.inference.tempered import Effort
from watervane.process.run import Course, Members, chosen_state, initial_state
from watervane.process.state import TankState
from watervane.records import Finding, Tank

CARRY = Effort(at_end=0.35, most_between=2, most_at_end=4)
EARLIER_D = (0, 7, 28)  # how far back earlier members are kept, to go back to after an edit
_NEXT = 104729  # from one forecast's seed to the next one's


@dataclass(frozen=True)
class CarriedTank:
    """What is kept of a tank between two forecasts.

    Parameters
    ----------
    kept
        Members that agree with all readings so far.
    earlier
        The same some time before, oldest first.
    anchors
        Set on the way, oldest first.
    old
        What the water did from filling to the anchor that inference begins at, if any: one
        course a member, of members as they were then.
    past
        What it did from there to the day of the last reading; ``None`` where it must be run.
    seed
        Of the first forecast.
    count
        Forecasts so far.
    """

    kept: Carried
    earlier: tuple[Carried, ...]
    anchors: tuple[Anchor, ...]
    old: Course | None
    past: Course | None
    seed: int
    count: int


@dataclass(frozen=True)
class Carrying:
    """A forecast, and what is kept for the next one.

    Parameters
    ----------
    made
        The forecast.
    tank
        What is kept; ``None`` as long as nothing was read.
    """

    made: Made
    tank: CarriedTank | None


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
    ) -> None:
        self._begun = clock.perf_counter()
        self._ready = made_ready(
            tank, as_of=as_of, horizon_days=horizon_days, threads=threads, levels=levels, now=now
        )
        self._line, self._threads = self._ready.line, threads
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
        found = self._last_that_holds(before)
        self.way = "carried" if found is before else "edited"
        if found is None:
            if self._anchors:
                self._back_to_d = self._line.calendar.bounds_d(self._anchors[-1].day)[0]
            return
        self._back_to_d = found.kept.until_d
        self._going_on = self._with_anchors(found)

    def _last_that_holds(self, before: CarriedTank) -> CarriedTank | None:
        for kept in (before.kept, *reversed(before.earlier)):
            try:
                kept.used(self._line, self._readings)
            except ChangedPastError:
                continue
            if kept is before.kept:
                return before
            same = kept.first_day == before.kept.first_day
            if not same:
                continue
            earlier = tuple(one for one in before.earlier if one.until_d < kept.until_d)
            return replace(before, kept=kept, earlier=earlier, past=None)
        return None

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
                course = self._old_course(going_on.old, [stretch])
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
        taken = assimilation.provisional()
        kept, recent = going_on.kept, []
        if going_on.past is None:
            first, start = kept.first_day, self._begin(taken.carried)
        else:
            recent = [chosen_course(going_on.past, weighed.chosen)]
            first, start = kept.day, chosen_state(kept.state, weighed.chosen)
        course, run = self._run(taken.fitted.members, start, first, "sampling")
        weight = {"effective": round(weighed.effective, 1), "members": len(kept)}
        finding = Finding("forecast-provisional", "info", weight)
        parts = [*recent, course] if going_on.old is None else [going_on.old, *recent, course]
        made = self._composed(taken, parts, run, "sampling", (finding,))
        past = one_after_another([*recent, cut(course, self._line, taken.carried.day)], Single)
        return Carrying(made, self._after(taken.carried, going_on, going_on.old, past))

    def replacement(self) -> Carrying:
        """Members moved by all readings, or fitted anew where nothing could be carried on."""
        progress = told(self._progress, "weighing")
        if self._assimilation is not None and self._going_on is not None:
            taken = self._assimilation.rejuvenated(self._effort, progress)
            return self._replaced(taken, self._going_on, self._going_on.old)
        if not self._readings:
            return Carrying(self._prior(), None)
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
        old = self._old_course(old, history.stretches)
        return self._replaced(Taken(history.fitted, history.carried), None, old)

    def _replaced(self, taken: Taken, going_on: CarriedTank | None, old: Course | None) -> Carrying:
        first, start = taken.carried.first_day, self._begin(taken.carried)
        course, run = self._run(taken.fitted.members, start, first, self._accuracy)
        parts = [course] if old is None else [old, course]
        made = self._composed(taken, parts, run, self._accuracy)
        past = cut(course, self._line, taken.carried.day)
        return Carrying(made, self._after(taken.carried, going_on, old, past))

    def _prior(self) -> Made:
        """A tank that nothing was read of."""
        fitted = fit_members(self._line, (), self._members, self._new_seed, self._threads)
        start = initial_state(self._line, fitted.members)
        course, run = self._run(fitted.members, start, 0, self._accuracy)
        return composed(
            self._ready,
            fitted,
            course,
            run,
            seed=self._seed,
            accuracy=self._accuracy,
            begun=self._begun,
        )

    def _latest_start(self) -> tuple[Anchor | None, Course | None]:
        """The latest anchor that holds, with what the water did before it."""
        for anchor in reversed(self._anchors):
            recent = since(self._line, self._readings, anchor)
            old = self._old_until(anchor) if recent else None
            if old is not None:
                return anchor, old
        self._anchors, self._back_to_d = (), 0.0
        return None, None

    def _old_until(self, anchor: Anchor) -> Course | None:
        """What the water did from filling to an anchor, as far as it was kept."""
        before = self._before
        if before is None:
            return None
        parts = [each for each in (before.old, before.past) if each is not None]
        days = sum(len(each.daily_means) for each in parts)
        if days < anchor.day:
            return None
        return cut(one_after_another(parts, Single), self._line, anchor.day)

    def _old_course(self, old: Course | None, stretches: Sequence[Stretch]) -> Course | None:
        """The same and what older members tell of the days after, read once a day."""
        parts = [] if old is None else [old]
        for stretch in stretches:
            end = stretch.anchor.day
            stops = self._ready.days.stops(stretch.first_day, end, end)
            course = stretch.course(self._line, stops, self._accuracy, self._threads)
            parts.append(cut(course, self._line, end))
        return one_after_another(parts, Single) if parts else None

    # -- parts of a forecast -------------------------------------------------------------

    def _begin(self, kept: Carried) -> TankState:
        """State of members at the anchor, or at filling."""
        if kept.anchor is None:
            target = target_of(self._line, self._readings, kept.seed, 1)
            return initial_state(self._line, target.members(kept.z))
        place = {name: i for i, name in enumerate(kept.names)}
        return kept.anchor.state(kept.z[[place[name] for name in kept.anchor.state_names]])

    def _run(
        self, members: Members, start: TankState, first: int, accuracy: str
    ) -> tuple[Course, Members]:
        return run_on(
            self._ready, members, start, first, accuracy=accuracy, progress=self._progress
        )

    def _composed(
        self,
        taken: Taken,
        parts: Sequence[Course],
        run: Members,
        accuracy: str,
        findings: tuple[Finding, ...] = (),
    ) -> Made:
        anchor = taken.carried.anchor
        recent = tuple(since(self._line, self._readings, anchor))
        made = composed(
            replace(self._ready, readings=recent),
            taken.fitted,
            one_after_another(parts),
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
        found = []
        moment = self._ready.calendar.moment
        if self.way == "edited":
            found.append(Finding("past-edited", "info", {"at": moment(self._back_to_d)}))
        if anchor is not None:
            begin = moment(self._ready.calendar.bounds_d(anchor.day)[0])
            stands_for = {"at": begin, "readings": anchor.readings}
            found.append(Finding("history-anchored", "info", stands_for))
        return tuple(found)

    def _after(
        self, kept: Carried, going_on: CarriedTank | None, old: Course | None, past: Course
    ) -> CarriedTank:
        """What is kept for the next forecast."""
        before = () if going_on is None else (*going_on.earlier, going_on.kept)
        return CarriedTank(
            kept, _thinned(before, kept), self._anchors, old, past, self._seed, self._count
        )


def _thinned(before: Sequence[Carried], kept: Carried) -> tuple[Carried, ...]:
    """The latest of some members, and the latest of those older than some days."""
    places = set()
    for days in EARLIER_D:
        places.update(
            [i for i, one in enumerate(before) if one.until_d <= kept.until_d - days][-1:]
        )
    return tuple(before[i] for i in sorted(places))
