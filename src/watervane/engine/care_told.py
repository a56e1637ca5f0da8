"""What is told beside a routine: where it leads, less of it, heat, and how often to test."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.advice.routines import Steady
from watervane.engine.care_bounds import (
    CONDUCTIVITY,
    Key,
    Reach,
    Windows,
    first_week_passed,
    keeps,
    with_tier_first,
)
from watervane.engine.care_gains import gains_of, levels
from watervane.engine.care_lanes import (
    LOOKS_AT,
    ROOM_RISE_K,
    WEEK_D,
    LaneRan,
    is_warm,
)
from watervane.forecast.harm import course_water
from watervane.forecast.quantiles import number_quantiles
from watervane.kits.sizes import errors_of
from watervane.limits import Limit, judge
from watervane.process.calendar import Calendar
from watervane.process.noise import keyed_normal
from watervane.process.run import Members
from watervane.process.timeline import Timeline
from watervane.records import AllowedRisk
from watervane.records.care import BoundRisk, Heat, Neglect, Routine, SteadyLevel, TestWorth
from watervane.reference import value

Numbers = NDArray[np.float64]
MONTH_D = 28
SETTLED_WEEKS = 12  # after which a tank is taken to have come to its routine
LAST_WEEKS = 12  # of a year, in which a routine has come to rest
TESTED = ("nitrate", "kh")


def less_done(less: Mapping[str, Mapping[Key, Windows]], reach: Reach) -> tuple[Neglect, ...]:
    """What becomes of a tank whose keeper does half, or leaves every second change out.

    Parameters
    ----------
    less
        How each way to do less fared, against every bound.
    reach
        How often each bound may be passed.
    """
    found = []
    for kind, windows in less.items():
        bounds = reach.bounds(windows)
        found.append(
            Neglect(kind, keeps(bounds), with_tier_first(bounds), first_week_passed(windows, reach))
        )
    return tuple(found)


def steady_levels(
    ran: LaneRan, routine: Routine, members: Members, quantities: Mapping[str, Steady]
) -> tuple[SteadyLevel, ...]:
    """Closed form and run of each quantity, just before the changes of the last months.

    Parameters
    ----------
    ran
        The routine's run.
    routine
        As it is told.
    members
        Who were run.
    quantities
        Those with a bound.

    Notes
    -----
    The closed form takes what the members gained in the last months of the run itself.
    """
    found = []
    weeks = len(ran.conductivity)
    gains = gains_of(ran, members.source, range(weeks - LAST_WEEKS - 1, weeks - 1))
    due = [week for week in range(weeks - LAST_WEEKS, weeks) if ran.lane.due(week)]
    for name, gain in gains.gain.items():
        source = gains.source[name]
        topped = source * gains.evaporating
        known = quantities.get(name)
        steady = Steady(gain, source, topped, np.inf, True, 1.0)
        topping = topped if routine.top_off == "tap" else 0.0 * topped
        if name == CONDUCTIVITY:
            held = ran.conductivity[due]
        else:
            per_week = WEEK_D * len(LOOKS_AT)
            held = levels(ran, name)[[week * per_week - 1 for week in due]]
        # Of the full tank, as it is once it was topped off and before it is changed.
        gone = ran.evaporated[due]
        run = (held * (1.0 - gone) + gone * (topping > 0.0) * source).mean(axis=0)
        found.append(
            SteadyLevel(
                quantity=name,
                gain=number_quantiles(gain + topping),
                source=float(np.median(source)),
                closed=number_quantiles(steady.peak(routine)),
                run=number_quantiles(run),
                bound=None if known is None else known.bound,
            )
        )
    return tuple(found)


def heat(
    ran: LaneRan,
    limits: Sequence[Limit],
    calendar: Calendar,
    first: int,
    first_month: int,
    volume_l: float,
    allowed: AllowedRisk,
) -> Heat:
    """Evaporation and warmth of the warm months beside the others.

    Parameters
    ----------
    ran
        The routine's run.
    limits
        Of those in the tank.
    calendar, first, first_month
        The first day of the run, and the first warm month.
    volume_l
        Of the tank. [L]
    allowed
        By tier.
    """
    warm_weeks = [
        w
        for w in range(1, len(ran.evaporated))
        if all(
            is_warm(calendar.date(first + WEEK_D * w - d).month, first_month)
            for d in range(1, WEEK_D + 1)
        )
    ]
    others = [w for w in range(1, len(ran.evaporated)) if w not in warm_weeks]
    temperature = ran.course.output("temperature_c")
    return Heat(
        first_month=first_month,
        room_rise_k=ROOM_RISE_K,
        evaporated_l_per_week=volume_l * float(np.median(ran.evaporated[others])),
        evaporated_warm_l_per_week=volume_l * float(np.median(ran.evaporated[warm_weeks])),
        highest_c=number_quantiles(temperature.max(axis=0)),
        bound=_hot(ran, limits, allowed),
    )


def _hot(ran: LaneRan, limits: Sequence[Limit], allowed: AllowedRisk) -> BoundRisk | None:
    asked = [limit for limit in limits if limit.subject == "temperature" and limit.side == "above"]
    water = course_water(ran.course)
    found = []
    for (tier, subject), one in judge(asked, water, ran.course.stops_d).items():
        share = float(one.passed.any(axis=0).mean())
        if share > allowed.of(tier):
            leader = one.leader
            level = float(np.median(leader.level(water)))
            found.append(
                BoundRisk(
                    tier=tier,
                    subject=subject,
                    limit=leader.key,
                    side=leader.side,
                    level=level,
                    animals=leader.animals,
                    early=share,
                    late=share,
                    allowed=allowed.of(tier),
                    kept=False,
                )
            )
    order = ("acute", "chronic", "comfort")
    return min(found, key=lambda each: order.index(each.tier), default=None)


def worth_testing(
    ran: LaneRan, members: Members, quantities: Mapping[str, Steady]
) -> tuple[TestWorth, ...]:
    """How long a reading tells whether each bound is kept.

    After a reading members agree but for its error; from there each goes its own way. A reading
    is due when more of them pass the bound than is accepted. It is taken once the tank has come to
    its routine: before that, what it was left in decides.

    Parameters
    ----------
    ran
        The routine's run.
    members
        Whose luck with the reading counts.
    quantities
        Those with a bound.
    """
    found = []
    for name in TESTED:
        steady = quantities.get(name)
        if steady is None:
            continue
        course = levels(ran, name)[SETTLED_WEEKS * WEEK_D * len(LOOKS_AT) :]
        luck = keyed_normal(members.seed, members.numbers, ran.course.first_day, f"test {name}")
        middle = float(np.median(course[0]))
        shown = np.maximum(middle * (1.0 + reading_error(name, middle) * luck), 0.0)
        later = shown + course - course[0]
        passed = later > steady.bound if steady.above else later < steady.bound
        often = passed.mean(axis=1) > steady.allowed + 1e-9
        days = int(np.argmax(often)) // len(LOOKS_AT) if often.any() else None
        found.append(TestWorth(name, days))
    return tuple(found)


def reading_error(quantity: str, level: float) -> float:
    """One standard deviation of a kit's reading over its level: its own, and the step it shows."""
    own = errors_of("drop", quantity).relative
    floor = value(f"{quantity}_half_step").value / max(level, 1e-9)
    step = max(value(f"{quantity}_relative_half_step").value, floor) / np.sqrt(3.0)
    return float(np.hypot(own, step))


def nitrogen_of_food(line: Timeline, first: int) -> float:
    """Daily nitrogen of the food that is planned, a mean of four weeks. [mg N/L]"""
    begin, end = line.calendar.bounds_d(first)[0], line.calendar.bounds_d(first + MONTH_D)[0]
    fed = (a.scalars.get("food_mg_n_per_l", 0.0) for a in line.actions if begin <= a.at_d < end)
    return float(sum(fed)) / MONTH_D
