"""Whether the animals present are too many for the tank even once its colonies are grown.

Found from the members, not from a rule of stock: each member's tank is filled anew with its own
source water, its colonies fill all they can live on, its animals and plants are as they are, it is
fed as planned and a quarter of the water is changed each week, or more where more is planned. What
then passes a limit over time, passes it because of the load.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.advice.acts import CARRIED_L
from watervane.engine.futures import Standing, looks, population
from watervane.engine.member_runs import FUTURE
from watervane.forecast.harm import course_water
from watervane.limits import Limit, judge
from watervane.planning.room import most_borne, room_at
from watervane.process.calendar import events_through
from watervane.process.geometry import tank_geometry
from watervane.process.rates.nitrifiers import GUILDS, HABITATS
from watervane.process.run import simulate
from watervane.process.state import COLUMN, COMPONENTS, MATRIX, WATER, TankState
from watervane.process.timeline import timeline
from watervane.records import AllowedRisk, Finding, Habit, Tank, WaterChange

Numbers = NDArray[np.float64]
WEEKLY_SHARE = 0.25  # what one person keeps up week after week: common practice, no source
CHANGE_AT = time(11)
RUN_DAYS, JUDGED_DAYS = 63, 28  # a quarter a week leaves a tenth of what was before eight weeks
LOOKED_AT = 250  # members: their share is told to a few per cent
LOOKS = 4  # a day
MOVED = ("ammonia", "nitrite", "nitrate", "oxygen", "co2")
LESSER_LOADS = (0.1, 0.4, 0.7)  # of the animals and their food; with the first there is hardly any


def crowding(
    standing: Standing, limits: Sequence[Limit], allowed: AllowedRisk
) -> tuple[Finding, ...]:
    """A word of caution where the animals present are too many for good, and by how many.

    Parameters
    ----------
    standing
        The members.
    limits
        Of the animals present.
    allowed
        What risk counts as none, by tier.

    Returns
    -------
    tuple of Finding
        Empty where the settled tank carries them.
    """
    held = tuple(limit for limit in limits if tells_of_load(limit))
    animals = sum(population(standing).counts.values())
    if not animals or not held:
        return ()
    count = len(standing.members)
    one = standing.some(np.linspace(0, count - 1, min(LOOKED_AT, count)).astype(np.int64))
    tank, share = _kept_up(one)

    def farthest(load: float) -> dict[tuple[str, str], Numbers]:
        return _farthest(one, tank, held, load)

    full = farthest(1.0)
    if not any((far > 1.0).mean() > allowed.of(tier) for tier, far in _by_tier(full).items()):
        return ()
    with ThreadPoolExecutor(max(one.threads, 1)) as pool:
        runs = [*pool.map(farthest, LESSER_LOADS), full]
    borne = _borne(runs)
    risks = {tier: float(np.isfinite(each).mean()) for tier, each in borne.items()}
    over = [tier for tier, risk in risks.items() if risk > allowed.of(tier)]
    if not over:
        return ()
    rooms = {name: room_at(each, allowed.of(name)) for name, each in borne.items()}
    tier = min(over, key=lambda name: rooms[name])
    carried = rooms[tier]
    leading = _leading(full, borne, tier)
    told = {
        "chance": risks[tier],
        "tier": tier,
        "subject": leading,
        "animals": animals,
        "carried": int(carried * animals + 1e-9),
        "too_many": animals - int(carried * animals + 1e-9),
        "food_share": 1.0 - carried,
        "weekly_share": share,
    }
    return (Finding("too-many-animals", "caution", told),)


def tells_of_load(limit: Limit) -> bool:
    """Harm over time, and nitrate: what animals and food bring, and what changes take away."""
    if limit.tier == "comfort":
        return limit.subject == "nitrate"
    return limit.tier == "chronic" and limit.subject in MOVED


def _kept_up(standing: Standing) -> tuple[Tank, float]:
    """The tank with a weekly change that one person keeps up, and the share changed a week."""
    tank, calendar, today = standing.tank, standing.calendar, standing.today
    planned = sum(
        event.fraction
        for event in events_through(tank, calendar, today + JUDGED_DAYS)
        if isinstance(event, WaterChange) and calendar.days(event.at) > standing.as_of_d
    )
    a_week = planned * 7.0 / JUDGED_DAYS
    usual = min(WEEKLY_SHARE, CARRIED_L / tank_geometry(tank)[0]["volume_l"])
    if a_week >= usual:
        return tank, a_week
    first = calendar.date(today + 1)
    at = datetime.combine(first, CHANGE_AT, calendar.zone)
    change = WaterChange(at=at, fraction=usual, temperature_c=tank.heater_set_point_c)
    others = (h for h in tank.habits if not isinstance(h.template, WaterChange))
    weekly = Habit(template=change, every_days=7, start=first + timedelta(days=6))
    return replace(tank, habits=(*others, weekly)), usual


def _farthest(
    standing: Standing, tank: Tank, limits: Sequence[Limit], load: float
) -> dict[tuple[str, str], Numbers]:
    """How far each member goes to each limit once settled, with a share of its animals."""
    first = standing.today + 1
    last = first + RUN_DAYS
    line = timeline(tank, last)
    food = load * standing.members.parameters["food_multiplier"]
    members = replace(
        standing.members,
        numbers=standing.members.numbers + FUTURE,
        parameters={**standing.members.parameters, "food_multiplier": food},
    )
    course = simulate(
        line,
        members,
        _settled(standing, line.geometry_at(line.calendar.bounds_d(first)[0]), load),
        (first, last),
        stops_d=looks(standing.calendar, (last - JUDGED_DAYS, last), LOOKS),
        accuracy="screening",
        threads=1,
    )
    judged = judge(limits, course_water(course, standing.pressure_atm), course.stops_d)
    week = slice(-7 * LOOKS, None)
    return {
        key: np.broadcast_to(one.ratio, (len(course.stops_d), len(members)))[week].max(axis=0)
        for key, one in judged.items()
    }


def _settled(standing: Standing, geometry: dict[str, float], load: float) -> TankState:
    """Fresh source water over colonies that fill their habitats; animals and plants as they are."""
    theta, state = standing.members.parameters, standing.state
    amounts = np.array(state.amounts)
    for name in WATER:
        amounts[COLUMN[name]] = standing.members.source[COLUMN[name]]
    for name in ("ammonia", "nitrite", "chlorine", "chloramine", "dechlorinator"):
        amounts[COLUMN[name]] = 0.0
    for place in range(len(COMPONENTS)):
        if MATRIX.components[place].phase in ("body", "settled"):
            amounts[place] *= load
    for guild in GUILDS:
        density = theta[f"{guild}_oxidiser_density_mg_per_m2"]
        for habitat in HABITATS:
            area = geometry[f"{habitat}_area_m2"] * theta[f"{habitat}_area_multiplier"]
            amounts[COLUMN[f"{guild}_oxidisers_{habitat}"], 0] = (
                area * density / geometry["volume_l"]
            )
    ones = np.ones_like(np.asarray(state.volume_ratio))
    return TankState(amounts, ones, np.asarray(state.temperature_c), 7.5 * ones, ones, ones)


def _by_tier(farthest: dict[tuple[str, str], Numbers]) -> dict[str, Numbers]:
    """The farthest of each tier's limits."""
    tiers = dict.fromkeys(tier for tier, _ in farthest)
    return {
        tier: np.max([far for (of, _), far in farthest.items() if of == tier], axis=0)
        for tier in tiers
    }


def _borne(runs: Sequence[dict[tuple[str, str], Numbers]]) -> dict[str, Numbers]:
    """The share of the load each member's settled tank bears; infinite for all of it.

    A member that passes a limit with hardly any animals passes it for another reason.
    """
    by_tier = [_by_tier(each) for each in runs]
    found = {}
    for tier in by_tier[-1]:
        borne = most_borne((*LESSER_LOADS, 1.0), np.stack([each[tier] for each in by_tier]))
        found[tier] = np.where(borne < 0.0, np.inf, borne)
    return found


def _leading(full: dict[tuple[str, str], Numbers], borne: dict[str, Numbers], tier: str) -> str:
    """What most of those pass who pass a limit of the tier because of the load."""
    who = np.isfinite(borne[tier])
    passed = {
        subject: float((far[who] > 1.0).mean()) for (of, subject), far in full.items() if of == tier
    }
    return max(passed, key=lambda subject: passed[subject])
