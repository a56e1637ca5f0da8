"""How much of filter and bed can be cleaned at once: what is left of the colonies must carry on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.care_lanes import Lane, side_by_side
from watervane.engine.kept_course import chosen_course
from watervane.forecast.harm import course_water
from watervane.limits import Limit, judge
from watervane.process.colony_care import clean_action
from watervane.process.daily_noise import DailyNoise
from watervane.process.day_program import Action
from watervane.process.run import Course, Members, simulate
from watervane.process.state import TankState
from watervane.process.tending import Deed, after_deeds
from watervane.process.timeline import Timeline
from watervane.records import AllowedRisk, Clean
from watervane.records.care import CleaningPortion

Numbers = NDArray[np.float64]
DAYS, LOOKS = 28, 4
NEARLY_GROWN, NEARLY_ALL = 0.95, 0.95
COLONIES = ("ammonia_oxidisers_mg_per_l", "nitrite_oxidisers_mg_per_l")
_ANY = datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Way:
    """What is cleaned in tank water, and how much of it."""

    part: str
    parts: tuple[str, ...]
    portion: float


WAYS = (
    Way("filter", ("filter",), 1.0),
    Way("filter", ("filter",), 0.5),
    Way("bed", ("bed",), 1.0),
    Way("bed", ("bed",), 0.5),
    Way("both", ("filter", "bed"), 1.0),
)


def portions(
    line: Timeline,
    members: Members,
    state: TankState,
    first: int,
    limits: Sequence[Limit],
    allowed: AllowedRisk,
) -> tuple[CleaningPortion, ...]:
    """Clean in every way on one day, and look at ammonia, nitrite and colonies for four weeks.

    Parameters
    ----------
    line, members, state, first
        See `watervane.engine.care_lanes.run_lanes`.
    limits
        Of those in the tank.
    allowed
        By tier.
    """
    lanes = [Lane(0.0)] * (len(WAYS) + 1)
    wide, state, places = side_by_side(members, state, lanes)
    noise = DailyNoise(wide.seed, wide.numbers, wide.told, first + DAYS)
    deeds = []
    for way, own in zip(WAYS, places[1:], strict=True):
        who = np.zeros(len(wide), dtype=bool)
        who[own] = True
        deeds += [Deed(portion_cleaned(part, way.portion), who) for part in way.parts]
    state = after_deeds(wide, state, first, noise, deeds)
    stops = []
    for day in range(first, first + DAYS):
        begin, end = line.calendar.bounds_d(day)
        stops += [begin + (end - begin) * k / LOOKS for k in range(LOOKS)]
    course = simulate(line, wide, state, (first, first + DAYS), stops_d=stops, threads=1)
    asked = [
        limit
        for limit in limits
        if limit.subject in ("ammonia", "nitrite") and limit.tier != "comfort"
    ]
    none, *others = [chosen_course(course, own) for own in places]
    alone = _passed(none, asked)
    return tuple(
        _told(way, one, none, _passed(one, asked), alone, allowed)
        for way, one in zip(WAYS, others, strict=True)
    )


def portion_cleaned(part: str, portion: float) -> Action:
    """Cleaning of a portion: the rest of the colony stays as it is."""
    whole = clean_action(0.0, Clean(at=_ANY, part=part, how="tank water"))
    kept = {
        name: [1.0 - portion * (1.0 - share) for share in shares]
        for name, shares in whole.habitats.items()
    }
    return replace(whole, habitats=kept)


def _passed(course: Course, limits: Sequence[Limit]) -> dict[str, NDArray[np.bool_]]:
    """Which members pass a limit of each tier at any time."""
    found: dict[str, NDArray[np.bool_]] = {}
    for (tier, _), one in judge(limits, course_water(course), course.stops_d).items():
        passed = one.passed.any(axis=0)
        found[tier] = np.asarray(passed | found[tier] if tier in found else passed)
    return found


def _told(
    way: Way,
    course: Course,
    none: Course,
    passed: dict[str, NDArray[np.bool_]],
    alone: dict[str, NDArray[np.bool_]],
    allowed: AllowedRisk,
) -> CleaningPortion:
    more = {tier: float((who & ~alone[tier]).mean()) for tier, who in passed.items()}
    return CleaningPortion(
        part=way.part,
        portion=way.portion,
        harm=max(more.values(), default=0.0),
        kept=all(share <= allowed.of(tier) for tier, share in more.items()),
        regrown_days=_regrown(course, none),
    )


def _regrown(course: Course, none: Course) -> int | None:
    """First day on which both colonies are nearly what they would be, in nearly all members."""
    for day in range(DAYS):
        stop = (day + 1) * LOOKS - 1
        grown = [
            course.output(name)[stop] >= NEARLY_GROWN * none.output(name)[stop] for name in COLONIES
        ]
        if float(np.mean(grown[0] & grown[1])) >= NEARLY_ALL:
            return day
    return None
