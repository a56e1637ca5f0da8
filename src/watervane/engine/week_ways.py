"""Ways through the next week, each run over a standing's members and judged by all it does."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from watervane.advice.acts import with_acts, work_of
from watervane.advice.menu import PUT_OFF_D, Setting, finer, later, put_off, singles, together
from watervane.advice.weighing import choose, serves_as
from watervane.engine.answered import answered
from watervane.engine.futures import Standing, future
from watervane.engine.stratified import stratified
from watervane.engine.verdict import WEEK_D
from watervane.forecast.harm_after import After, chance_by_tier, harm_after
from watervane.limits import TIERS, Limit
from watervane.process.run import Course
from watervane.records import Act, AllowedRisk, Tank, WeekPlan

Progress = Callable[[str, float], None]
DAYS = 8  # local days looked at: seven full ones after the moment
SCREENED = 250  # members a way is tried on first: a narrow block of the program is as wide
FINALISTS = 3
MAINS = 2  # water changes tried together with other things
TOLD = 0.005


@dataclass(frozen=True)
class Stage:
    """What ways are tried on.

    Parameters
    ----------
    standing
        The members.
    limits
        Of the animals present.
    setting
        What the menu has to know of the tank.
    warmth_c
        Of the water now, in the middle member. [degC]
    accuracy
        See `watervane.process.run.simulate`.
    """

    standing: Standing
    limits: tuple[Limit, ...]
    setting: Setting
    warmth_c: float
    accuracy: str = "sampling"

    def some(self, index: NDArray[np.int64]) -> Stage:
        """To try ways on a part of the members, in coarser steps."""
        return replace(self, standing=self.standing.some(index), accuracy="screening")


def searched(
    stage: Stage,
    planned: Course,
    allowed: AllowedRisk,
    progress: Progress | None,
    *,
    hurries: bool = False,
) -> list[WeekPlan]:
    """Try all on a part of the members in coarse steps; then the best on all, in finer ones.

    Parameters
    ----------
    stage
        With what is in doubt; where nothing is, nothing is tried.
    planned
        The members' future with only what is planned.
    allowed
        Accepted chances.
    progress
        Told how far the search is.
    hurries
        Whether harm is so near that no change is put off.
    """
    first = singles(stage.setting)
    if not first:
        return []
    index = _close_and_far(stage, planned, SCREENED)
    few = stage.some(index)
    screened = [judged_way((), _of_some(planned, index), few), *_tried(few, first, progress, 0.0)]
    second = together(_mains(screened, allowed), few.setting)
    screened += _tried(few, second, progress, 0.4)
    best = choose(screened, allowed).chosen
    screened += _tried(few, [] if hurries else list(later(best.acts, few.setting)), progress, 0.8)
    choice = choose(screened, allowed)
    closer = list(finer(choice.chosen.acts, [plan.acts for plan in screened], few.setting))
    screened += _tried(few, closer, progress, 0.9)
    finalists: list[tuple[Act, ...]] = []
    left = list(screened)
    for _ in range(FINALISTS):
        choice = choose(left, allowed)
        for one in (choice.chosen, choice.runner_up):
            if one is not None and one.acts and one.acts not in finalists:
                finalists.append(one.acts)
        left = [one for one in left if one.acts not in finalists or not one.acts]
    sure = {plan.acts: plan for plan in _tried(stage, finalists, None, 1.0)}
    return [sure.get(plan.acts, plan) for plan in screened[1:]]


def can_wait_d(stage: Stage, chosen: WeekPlan, allowed: AllowedRisk) -> float:
    """How long the one water change of the chosen way can be put off and serve as well. [d]

    Parameters
    ----------
    stage
        All members.
    chosen
        On the same members.
    allowed
        Accepted chances.
    """
    ways = [way for days in PUT_OFF_D if (way := put_off(chosen.acts, stage.setting, days))]
    longest = 0.0
    for days, plan in zip(PUT_OFF_D, _tried(stage, ways, None, 1.0), strict=False):
        if not serves_as(plan, chosen, allowed):
            break
        longest = days
    return longest


def judged_way(
    way: tuple[Act, ...], course: Course, stage: Stage, answers: float = 0.0
) -> WeekPlan:
    """What a way leaves of harm, and the work it takes.

    Parameters
    ----------
    way
        What is done.
    course
        The members' future with it.
    stage
        What it is tried on.
    answers
        Water changes to be expected of a check.
    """
    after = _after(course, stage, passing_only=True)
    by_subject = {
        f"{tier}/{subject}": float(one.passed.mean())
        for (tier, subject), one in after.items()
        if one.passed.mean() > TOLD
    }
    hours = {
        tier: sum(float(one.hours.mean()) for one in after.values() if one.tier == tier)
        for tier in TIERS
    }
    burden = {
        tier: sum(float(one.burden.mean()) for one in after.values() if one.tier == tier)
        for tier in TIERS
    }
    return WeekPlan(
        way,
        *work_of(way, answers),
        chance_by_tier(after),
        hours,
        burden,
        by_subject,
    )


def _mains(screened: Sequence[WeekPlan], allowed: AllowedRisk) -> list[tuple[Act, ...]]:
    """Water changes to go on with: the least that is enough, or all but, and lighter ones."""
    changes = sorted(
        (plan for plan in screened if any(act.kind in ("change", "check") for act in plan.acts)),
        key=lambda plan: plan.minutes,
    )
    if not changes:
        return []
    best = choose([screened[0], *changes], allowed).chosen
    place = changes.index(best) if best in changes else 0
    return [plan.acts for plan in changes[max(place - MAINS + 1, 0) : place + 1]]


def _close_and_far(stage: Stage, planned: Course, count: int) -> NDArray[np.int64]:
    """Members evenly over how close they come to a limit as planned, so that few tell as much."""
    after = _after(planned, stage)
    worst = np.max([one.worst for one in after.values() if one.tier == "acute"], axis=0)
    return stratified(worst, count)


def _run(way: tuple[Act, ...], stage: Stage) -> WeekPlan:
    """Run and judge one way: both take about as long, so both go beside those of others."""
    standing, tank = stage.standing, _tank_of(way, stage)
    check = next((act for act in way if act.kind == "check"), None)
    if check is None:
        course = future(standing, tank, DAYS, threads=1, accuracy=stage.accuracy)
        return judged_way(way, course, stage)
    found = answered(standing, tank, check, DAYS, stage.warmth_c, stage.accuracy)
    return judged_way(way, found.course, stage, float(found.changes.mean()))


def _tried(
    stage: Stage, menu: Sequence[tuple[Act, ...]], progress: Progress | None, done: float
) -> list[WeekPlan]:
    found: list[WeekPlan] = []
    with ThreadPoolExecutor(max(stage.standing.threads, 1)) as pool:
        for plan in pool.map(partial(_run, stage=stage), menu):
            found.append(plan)
            if progress is not None:
                progress("steps", min(done + 0.4 * len(found) / len(menu), 1.0))
    return found


def _tank_of(way: tuple[Act, ...], stage: Stage) -> Tank:
    standing = stage.standing
    return with_acts(standing.tank, way, standing.calendar, stage.warmth_c)


def _after(
    course: Course, stage: Stage, *, passing_only: bool = False
) -> Mapping[tuple[str, str], After]:
    begin_d = stage.standing.calendar.days(stage.setting.at)
    end_d = stage.standing.as_of_d + WEEK_D
    pressure = stage.standing.pressure_atm
    return harm_after(course, stage.limits, begin_d, end_d, pressure, passing_only=passing_only)


def _of_some(course: Course, index: NDArray[np.int64]) -> Course:
    return replace(course, outputs=course.outputs[..., index])
