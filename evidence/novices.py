"""Invented tanks of novices whose truth is not of our structure, and what is counted in them.

Their nitrite eaters are quick and many (one step), or their keeper feeds nearly twice what he says
and leaves a change and a spilt meal out of the log.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime

import numpy as np

from evidence.simulated_tanks import in_one_step
from watervane.engine.crowding import tells_of_load
from watervane.forecast.harm import course_water
from watervane.forecast.harm_after import FARTHEST
from watervane.inference.priors import prior_members
from watervane.limits import Limit, judge, limits_for
from watervane.process import run as runs
from watervane.process.day_program import Action
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import WATER
from watervane.process.timeline import meal_action, timeline
from watervane.records import (
    AllowedRisk,
    AnimalsIn,
    Event,
    Feed,
    Habit,
    Kit,
    KitScale,
    Seed,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)

LOADS = ("normal", "overloaded")
DAYS = 60
GROWN_DAYS = 150  # colonies are grown, and what was there before is thinned away
FOLLOWED, OFF = 0.6, 0.3
LOOKS = 8
FILLED = date(2026, 3, 1)
MORNING = datetime(2026, 3, 2, 9, tzinfo=UTC)
SPECIES = {"zebra danio": 0.6, "guppy": 0.5, "neon tetra": 0.25, "platy": 1.2}
KIT_STEPS = {
    "ammonia": (0.0, 0.2, 0.5, 1.0, 2.0, 4.0),
    "nitrite": (0.0, 0.1, 0.3, 0.7, 1.5, 3.0),
    "nitrate": (0.0, 2.0, 5.0, 10.0, 20.0, 40.0),
    "ph": (6.0, 6.5, 7.0, 7.5, 8.0, 8.5),
}


@dataclass(frozen=True)
class Novice:
    """One keeper with one tank."""

    load: str
    structure: str
    number: int
    risk_times: float = 1.0  # what they accept, against the usual
    followed: float = FOLLOWED  # share of the steps that they do
    off: float = OFF  # spread of their amounts, as a logarithm


@dataclass(frozen=True)
class World:
    """The true tank: what holds, and who lives in it."""

    tank: Tank
    member: Members
    unlogged: tuple[Action, ...]
    animals: int


def world_of(novice: Novice) -> World:
    """The tank of a keeper as it is and as its log tells it."""
    rng = np.random.default_rng([7, novice.number, LOADS.index(novice.load)])
    volume = float(rng.uniform(40.0, 110.0))
    species = str(rng.choice(list(SPECIES)))
    grams = volume / 20.0 * float(rng.uniform(0.6, 1.4)) * (1.0 if novice.load == "normal" else 4.0)
    count = max(round(grams / SPECIES[species]), 2)
    food = 0.018 * count * SPECIES[species]
    risks = {tier: novice.risk_times * each for tier, each in asdict(AllowedRisk()).items()}
    tank = Tank(
        name="a novice's",
        filled=FILLED,
        volume_l=volume,
        heater_power_w=100.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(
            ph=round(float(rng.uniform(6.9, 8.1)), 1),
            kh_dkh=round(float(rng.uniform(2.0, 10.0)), 0),
            gh_dgh=8.0,
            nitrate_mg_n_per_l=2.0,
            chlorine_mg_per_l=0.0,
            chloramine_mg_per_l=0.5,
        ),
        events=(
            AnimalsIn(at=MORNING, species=species, count=count, mass_g=SPECIES[species]),
            *((Seed(at=MORNING, source="media", volume_l=0.1),) if rng.uniform() < 0.3 else ()),
        ),
        habits=(
            Habit(template=Feed(at=MORNING, mass_g=Span(0.7 * food, 1.4 * food)), every_days=1,
                  start=date(2026, 3, 2)),
        ),
        allowed_risk=AllowedRisk(**risks),
        kits={"drops": Kit("drops", "drop", tuple(
            KitScale(name, steps=steps, basis="none" if name == "ph" else "n")
            for name, steps in KIT_STEPS.items()))},
    )  # fmt: skip
    member = prior_members(tank, np.array([novice.number]), 4321)
    if novice.structure == "one step":
        return World(tank, in_one_step(member), (), count)
    eaten = {"food_multiplier": 1.8 * member.parameters["food_multiplier"]}
    kept = {"volume_keep": 0.7, "fill_to_mark": 1.0}
    unlogged = (
        meal_action(4.8, Span.exact(5.0 * food), 0.42, volume),
        Action(7.5, kept, {"keep": dict.fromkeys(WATER, 0.7)}),
    )
    wild = replace(member, parameters={**member.parameters, **eaten})
    return World(tank, wild, unlogged, count)


def course_of(world: World, tank: Tank, days: int = DAYS, also_d: Iterable[float] = ()) -> Course:
    """The true course of the water, with what is left out of the log.

    Parameters
    ----------
    world, tank
        Who lives in it, and what was done.
    days
        From filling. [d]
    also_d
        Moments looked at besides those of every day. [d]
    """
    line = timeline(tank, days)
    usual = (day + k / LOOKS for day in range(days) for k in range(LOOKS))
    stops = sorted({*usual, *also_d})
    start = initial_state(line, world.member)
    with _narrow_blocks():
        return simulate(line, world.member, start, (0, days), stops_d=stops, extra=world.unlogged,
                        threads=1)  # fmt: skip


@contextmanager
def _narrow_blocks() -> Iterator[None]:
    """One tank costs as much as a full block of members; no result depends on a block's width."""
    usual, runs.BLOCK_MEMBERS = runs.BLOCK_MEMBERS, 4
    try:
        yield
    finally:
        runs.BLOCK_MEMBERS = usual


def hours_of(
    world: World, tank: Tank, course: Course | None = None, until_d: float = float(DAYS)
) -> dict[str, float]:
    """Animal-hours above limits until a moment, water changed and food withheld in all.

    An hour counts where a limit is passed and the water of that hour adds to it; a mean of thirty
    days stays up for weeks after the water is good again, whatever anybody does. Those hours are
    told apart as *still*.
    """
    course = course_of(world, tank) if course is None else course
    limits = limits_of_tank(tank)
    water, shape = course_water(course), (len(course.stops_d), 1)
    found, now = judge(limits, water, course.stops_d), judge(limits, water)
    counted = course.stops_d[:, None] < until_d
    told = {}
    for tier in ("acute", "chronic"):
        over, still = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
        far = np.zeros(shape)
        for key, one in found.items():
            if key[0] == tier:
                passed = np.broadcast_to(one.passed, shape)
                over |= passed & np.broadcast_to(now[key].passed, shape)
                still |= passed
                beyond = np.clip(np.broadcast_to(now[key].ratio, shape) - 1.0, 0.0, FARTHEST)
                far = np.maximum(far, beyond * passed)
        each = 24.0 / LOOKS * world.animals * counted
        told[tier], told[f"{tier} still"] = float((each * over).sum()), float((each * still).sum())
        told[f"{tier} burden"] = float((each * far).sum())
    told["litres"] = sum(
        e.fraction * (tank.volume_l or 0.0) for e in tank.events if isinstance(e, WaterChange)
    )
    told["meals_withheld"] = float(
        sum(isinstance(e, Feed) and e.mass_g.high == 0.0 for e in tank.events)
    )
    return told


def too_many(world: World) -> bool:
    """Whether the true tank, grown old on a quarter a week, still passes a limit by its load."""
    first = WaterChange(at=MORNING, fraction=0.25, temperature_c=25.0)
    weekly = Habit(template=first, every_days=7, start=date(2026, 3, 8))
    tank = replace(world.tank, habits=(*world.tank.habits, weekly))
    limits = [limit for limit in limits_of_tank(tank) if tells_of_load(limit)]
    course = course_of(world, tank, GROWN_DAYS)
    found = judge(limits, course_water(course), course.stops_d)
    last = course.stops_d >= GROWN_DAYS - 7
    return any(
        bool(np.broadcast_to(one.ratio, (len(last), 1))[last].mean() > 1.0)
        for one in found.values()
    )


def limits_of_tank(tank: Tank) -> tuple[Limit, ...]:
    """Of the animals that ever came in."""
    return limits_for([e.species for e in tank.events if isinstance(e, AnimalsIn)])


def done_of(event: Event, rng: np.random.Generator, novice: Novice) -> Event | None:
    """What a novice makes of a step: nothing, or not quite that much."""
    if rng.uniform() > novice.followed:
        return None
    if isinstance(event, WaterChange):
        share = event.fraction * float(np.exp(novice.off * rng.standard_normal()))
        return replace(event, fraction=min(share, 0.9))
    return event
