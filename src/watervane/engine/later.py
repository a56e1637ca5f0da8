"""Members of a standing on days to come: run once as planned, then on from there in many ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing, looks
from watervane.engine.member_runs import FUTURE
from watervane.forecast.harm import course_water
from watervane.limits import Judged, Limit, judge
from watervane.process.day_program import Action
from watervane.process.run import Course, chosen_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import Tank

Numbers = NDArray[np.float64]
LOOKS = 6  # a day
WEEK_D, MONTH_D = 7, 28
# Other limits stand where they are, however much is fed.
MOVED_BY_FOOD = ("ammonia", "nitrite", "nitrate", "co2", "oxygen", "alkalinity", "ph")


@dataclass(frozen=True)
class Aspect:
    """How far members went of the way to the limits of one tier in one stretch of days.

    Parameters
    ----------
    tier
        Of the limits.
    begins
        First day of the stretch, counted from the first that was judged.
    ratio
        The farthest of the subjects that food moves, shape (members,).
    by_subject
        The same for each subject that food moves.
    elsewhere
        The same for each that stands where it is, however much is fed.
    leaders
        The limit that leads each subject that food moves.
    elsewhere_leaders
        The limit that leads each of the others: a pH above a range is another than one below it.
    """

    tier: str
    begins: int
    ratio: Numbers
    by_subject: dict[str, Numbers]
    elsewhere: dict[str, Numbers]
    leaders: dict[str, Limit]
    elsewhere_leaders: dict[str, Limit]

    @property
    def name(self) -> str:
        """``acute 7``."""
        return f"{self.tier} {self.begins}"


@dataclass
class Later:
    """A tank's members on days to come.

    Parameters
    ----------
    standing
        The members, see `watervane.engine.futures.stand`.
    states
        At the start of each day so far asked for, by the plan it was run under.
    """

    standing: Standing
    states: dict[int, TankState] = field(default_factory=dict)

    @property
    def first(self) -> int:
        """The first day after that of the moment."""
        return self.standing.today + 1

    def some(self, index: NDArray[np.int64]) -> Later:
        """The same with some of the members."""
        states = {day: chosen_state(state, index) for day, state in self.states.items()}
        return Later(self.standing.some(index), states)

    def stand_at(self, tank: Tank, days: Sequence[int]) -> None:
        """Run the members as planned and keep their states at the start of days to come."""
        today, last = self.standing.today, max(*days, self.first)
        line = timeline(tank, last)
        one, count = self.standing, self.standing.threads
        state = simulate(line, one.members, one.state, (today, today + 1), threads=count).final
        self.states[self.first] = state
        if last > self.first:
            ran = self._run(line, state, (self.first, last), keep=days)
            self.states |= ran.checkpoints
            self.states[last] = ran.final

    def run(
        self,
        tank: Tank,
        days: tuple[int, int],
        extra: Sequence[Action] = (),
        *,
        start: TankState | None = None,
        keep: Sequence[int] = (),
    ) -> Course:
        """Run the members from the start of a day on, under a plan with more or less in it.

        Parameters
        ----------
        tank
            With its plan.
        days
            First and last local day, the last not counted.
        extra
            Actions besides the plan's.
        start
            In place of the state that was kept for the first day.
        keep
            Days at whose start the state is kept.
        """
        state = self.states[days[0]] if start is None else start
        line = timeline(tank, days[1])
        return self._run(line, state, days, extra=extra, keep=keep, per_day=LOOKS)

    def _run(
        self,
        line: Timeline,
        state: TankState,
        days: tuple[int, int],
        *,
        extra: Sequence[Action] = (),
        keep: Sequence[int] = (),
        per_day: int = 1,
    ) -> Course:
        one = self.standing
        members = replace(one.members, numbers=one.members.numbers + FUTURE)
        return simulate(
            line,
            members,
            state,
            days,
            stops_d=looks(one.calendar, days, per_day),
            threads=one.threads,
            extra=extra,
            checkpoint_days=keep,
        )


def aspects(course: Course, limits: Sequence[Limit], days: int) -> list[Aspect]:
    """How far members went in each stretch: acute limits week by week, the others over all days.

    Parameters
    ----------
    course
        With `LOOKS` stops a day from the start of its first day.
    limits
        Of the animals present and to come.
    days
        How many are judged.
    """
    water = course_water(course)
    moved, others = (
        judge([limit for limit in limits if moved_by_food(limit) is which], water, course.stops_d)
        for which in (True, False)
    )
    found = []
    for tier in dict.fromkeys(key[0] for key in (*moved, *others)):
        stretch = WEEK_D if tier == "acute" else days
        leaders = {s: each.leader for (its, s), each in moved.items() if its == tier}
        rest = {s: each.leader for (its, s), each in others.items() if its == tier}
        for begins in range(0, days, stretch):
            inside = slice(begins * LOOKS, min(begins + stretch, days) * LOOKS)
            of_food, elsewhere = (_farthest(each, tier, inside) for each in (moved, others))
            if of_food:
                worst = np.max(list(of_food.values()), axis=0)
                found.append(Aspect(tier, begins, worst, of_food, elsewhere, leaders, rest))
    return found


def _farthest(
    judged: Mapping[tuple[str, str], Judged], tier: str, inside: slice
) -> dict[str, Numbers]:
    return {
        subject: np.asarray(each.ratio[inside].max(axis=0))
        for (its, subject), each in judged.items()
        if its == tier
    }


def moved_by_food(limit: Limit) -> bool:
    """Whether more food brings a water nearer to a limit; it lowers pH and never lifts it."""
    if limit.quantity == "ph":
        return limit.side == "below"
    return limit.subject in MOVED_BY_FOOD
