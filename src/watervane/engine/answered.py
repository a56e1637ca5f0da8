"""A future in which each member's tests are read, and a high one is answered with a change.

Who plans a week of daily changes against what may never come does work for nothing: the next
test tells. Here every member has readings of its own, and changes water only where they ask for it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import JUST_AFTER_D, Standing, beside_jumps, looks
from watervane.engine.kept_course import one_after_another
from watervane.engine.member_runs import FUTURE
from watervane.engine.tended import as_read
from watervane.planning.start_rules import change_action
from watervane.process.daily_noise import DailyNoise
from watervane.process.run import Course, Members, simulate
from watervane.process.state import TankState
from watervane.process.tending import Deed, after_deeds
from watervane.process.timeline import timeline
from watervane.records import Act, Tank

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Answered:
    """What the water did, and how often each member's keeper changed it, shape (members,)."""

    course: Course
    changes: Numbers


def answered(
    standing: Standing,
    tank: Tank,
    check: Act,
    days: int,
    temperature_c: float,
    accuracy: str = "sampling",
) -> Answered:
    """Run the members from the start of today, answering what their tests show.

    A test of a day is read at the end of it, so what rises between two tests is seen later than
    it will be, not sooner; a scale of coarse steps is taken as a fine one, which asks for fewer
    changes than it will.

    Parameters
    ----------
    standing
        The members; see `watervane.engine.futures.stand`.
    tank
        ``standing.tank`` with all else that is done.
    check
        What is read when, and what is done about it.
    days
        Local days, today counted.
    temperature_c
        Of the water poured in. [degC]
    accuracy
        See `watervane.process.run.simulate`.
    """
    first, last = standing.today, standing.today + days
    line = timeline(tank, last)
    today = standing.members
    later = replace(today, numbers=today.numbers + FUTURE)
    noise = DailyNoise(later.seed, later.numbers, later.told, last)
    change = change_action(check.amount, temperature_c)
    read_d = {first + 1 + round(k * check.every_days) for k in range(1, check.times + 1)}
    turns = [first, first + 1, *sorted(day for day in read_d if first + 1 < day < last), last]
    jumps = set(beside_jumps(line, first, last))
    state, parts, changes = standing.state, [], np.zeros(len(today))
    for begin, end in pairwise(turns):
        if begin in read_d:
            who = _high(check, later, state, begin)
            changes += who
            state = after_deeds(later, state, begin, noise, [Deed(change, who)])
        bounds_d = standing.calendar.bounds_d(begin)[0], standing.calendar.bounds_d(end - 1)[1]
        stops = {*looks(standing.calendar, (begin, end)), bounds_d[1] - JUST_AFTER_D}
        stops |= {at for at in jumps if bounds_d[0] <= at < bounds_d[1]}
        members = today if begin == first else later
        part = simulate(
            line, members, state, (begin, end), stops_d=sorted(stops), accuracy=accuracy, threads=1
        )
        parts.append(part)
        state = part.final
    return Answered(one_after_another(parts), changes)


def _high(check: Act, members: Members, state: TankState, day: int) -> NDArray[np.bool_]:
    """Whose tests of a day show so much that water is changed."""
    high = np.zeros(len(members), dtype=bool)
    for quantity, level in check.above:
        high |= as_read(members, state, day, quantity, f"check of {quantity}") >= level
    return high
