"""Novices' tanks under three ways of caring for them: nothing, a quarter a week, our steps.

The truth is not of our structure: its nitrite eaters are quick and many (one step), or its keeper
feeds nearly twice what he says and leaves a change and a spilt meal out of the log; its kit reads
with another error than ours assumes. Keepers do six steps of ten, and are off by a third in
amounts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.simulated_tanks import in_one_step
from watervane.advice.acts import events_of, with_acts
from watervane.engine.crowding import tells_of_load
from watervane.engine.futures import stand
from watervane.engine.today import today_of
from watervane.forecast.harm import course_water
from watervane.forecast.harm_after import FARTHEST, harm_after
from watervane.inference.priors import prior_members
from watervane.limits import Limit, judge, limits_for
from watervane.process import run as runs
from watervane.process.calendar import Calendar
from watervane.process.day_program import Action
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import WATER
from watervane.process.timeline import meal_action, timeline
from watervane.records import (
    Act,
    AnimalsIn,
    Event,
    Feed,
    Habit,
    Kit,
    KitScale,
    Reading,
    ReadingValue,
    Seed,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)

Numbers = NDArray[np.float64]
POLICIES = ("nothing", "a quarter a week", "our steps")
LOADS = ("normal", "overloaded")
STRUCTURES = ("one step", "wild keeper")
DAYS, EVERY_DAYS, FIRST = 60, 4, 4
GROWN_DAYS = 150  # colonies are grown, and what was there before is thinned away
MEMBERS = 250
FOLLOWED, OFF = 0.6, 0.3
FETCHED = 0.5  # keepers who can get mature media, zeolite or another tank where they are told to
KIT_ERROR, KIT_BIAS, BLUNDER = 0.2, 0.12, 0.02
LOOKS = 8
COUNTS = {(load, structure): 50 for load in LOADS for structure in STRUCTURES}
FILLED = date(2026, 3, 1)
MORNING = datetime(2026, 3, 2, 9, tzinfo=UTC)
SPECIES = {"zebra danio": 0.6, "guppy": 0.5, "neon tetra": 0.25, "platy": 1.2}
_STEPS = {
    "ammonia": (0.0, 0.2, 0.5, 1.0, 2.0, 4.0),
    "nitrite": (0.0, 0.1, 0.3, 0.8, 1.6, 3.3),
    "nitrate": (0.0, 2.0, 5.0, 10.0, 20.0, 40.0),
    "ph": (6.0, 6.5, 7.0, 7.5, 8.0, 8.5),
}
KEPT = Kept(
    "closed_loop",
    digest(rests_on(Path(__file__))),
)


@dataclass(frozen=True)
class Novice:
    """One keeper with one tank."""

    load: str
    structure: str
    number: int


@dataclass(frozen=True)
class _World:
    """The true tank: what holds, and who lives in it."""

    tank: Tank
    member: Members
    unlogged: tuple[Action, ...]
    animals: int


def run(*, anew: bool, workers: int) -> None:
    """Keep all tanks under all policies that are not kept yet."""
    tasks = {
        f"{load}/{structure}/{number}": Novice(load, structure, number)
        for number in range(max(COUNTS.values()))
        for (load, structure), count in COUNTS.items()
        if number < count
    }
    KEPT.complete(tasks, live, anew=anew, workers=workers)


def live(novice: Novice) -> dict[str, object]:
    """One tank through sixty days under each policy."""
    runs.BLOCK_MEMBERS = MEMBERS  # no result depends on it, and a half-filled block costs as much
    world = _world(novice)
    plain = _hours(world, world.tank)
    weekly = _weekly(world, novice)
    ours, first = _with_steps(world, novice)
    return {
        "load": novice.load,
        "structure": novice.structure,
        "seeded": any(isinstance(e, Seed) for e in world.tank.events),
        "volume_l": world.tank.volume_l,
        "sensitive": any(limit.group == "very sensitive" for limit in _limits(world.tank)),
        "too_many": _too_many(world),
        "nothing": plain,
        "a quarter a week": weekly,
        "our steps": ours,
        "first_actions": first,
    }


def _world(novice: Novice) -> _World:
    rng = np.random.default_rng([7, novice.number, LOADS.index(novice.load)])
    volume = float(rng.uniform(40.0, 110.0))
    species = str(rng.choice(list(SPECIES)))
    grams = volume / 20.0 * float(rng.uniform(0.6, 1.4)) * (1.0 if novice.load == "normal" else 4.0)
    count = max(round(grams / SPECIES[species]), 2)
    food = 0.018 * count * SPECIES[species]
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
        kits={"drops": Kit("drops", "drop", tuple(
            KitScale(name, steps=steps, basis="none" if name == "ph" else "n")
            for name, steps in _STEPS.items()))},
    )  # fmt: skip
    member = prior_members(tank, np.array([novice.number]), 4321)
    if novice.structure == "one step":
        return _World(tank, in_one_step(member), (), count)
    eaten = {"food_multiplier": 1.8 * member.parameters["food_multiplier"]}
    kept = {"volume_keep": 0.7, "fill_to_mark": 1.0}
    unlogged = (
        meal_action(4.8, Span.exact(5.0 * food), 0.42, volume),
        Action(7.5, kept, {"keep": dict.fromkeys(WATER, 0.7)}),
    )
    wild = replace(member, parameters={**member.parameters, **eaten})
    return _World(tank, wild, unlogged, count)


def _course(world: _World, tank: Tank, days: int = DAYS) -> Course:
    line = timeline(tank, days)
    stops = [day + k / LOOKS for day in range(days) for k in range(LOOKS)]
    start = initial_state(line, world.member)
    return simulate(line, world.member, start, (0, days), stops_d=stops, extra=world.unlogged,
                    threads=1)  # fmt: skip


def _hours(world: _World, tank: Tank, course: Course | None = None) -> dict[str, float]:
    """Animal-hours above limits, water changed and food withheld.

    An hour counts where a limit is passed and the water of that hour adds to it; a mean of thirty
    days stays up for weeks after the water is good again, whatever anybody does. Those hours are
    told apart as *still*.
    """
    course = _course(world, tank) if course is None else course
    limits = _limits(tank)
    water, shape = course_water(course), (len(course.stops_d), 1)
    found, now = judge(limits, water, course.stops_d), judge(limits, water)
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
        each = 24.0 / LOOKS * world.animals
        told[tier], told[f"{tier} still"] = each * float(over.sum()), each * float(still.sum())
        told[f"{tier} burden"] = each * float(far.sum())
    told["litres"] = sum(
        e.fraction * (tank.volume_l or 0.0) for e in tank.events if isinstance(e, WaterChange)
    )
    told["meals_withheld"] = float(
        sum(isinstance(e, Feed) and e.mass_g.high == 0.0 for e in tank.events)
    )
    return told


def _too_many(world: _World) -> bool:
    """Whether the true tank, grown old on a quarter a week, still passes a limit by its load."""
    first = WaterChange(at=MORNING, fraction=0.25, temperature_c=25.0)
    weekly = Habit(template=first, every_days=7, start=date(2026, 3, 8))
    tank = replace(world.tank, habits=(*world.tank.habits, weekly))
    limits = [limit for limit in _limits(tank) if tells_of_load(limit)]
    course = _course(world, tank, GROWN_DAYS)
    found = judge(limits, course_water(course), course.stops_d)
    last = course.stops_d >= GROWN_DAYS - 7
    return any(
        bool(np.broadcast_to(one.ratio, (len(last), 1))[last].mean() > 1.0)
        for one in found.values()
    )


def _limits(tank: Tank) -> tuple[Limit, ...]:
    return limits_for([e.species for e in tank.events if isinstance(e, AnimalsIn)])


def _weekly(world: _World, novice: Novice) -> dict[str, float]:
    rng = np.random.default_rng([8, novice.number])
    events: list[Event] = list(world.tank.events)
    for week in range(1, DAYS // 7 + 1):
        at = MORNING + timedelta(days=7 * week, hours=9)
        done = _done(WaterChange(at=at, fraction=0.25, temperature_c=25.0), rng)
        events += [] if done is None else [done]
    return _hours(world, replace(world.tank, events=tuple(events)))


def _done(event: Event, rng: np.random.Generator) -> Event | None:
    """What a novice makes of a step: nothing, or not quite that much."""
    if rng.uniform() > FOLLOWED:
        return None
    if isinstance(event, WaterChange):
        share = event.fraction * float(np.exp(OFF * rng.standard_normal()))
        return replace(event, fraction=min(share, 0.9))
    return event


def _with_steps(world: _World, novice: Novice) -> tuple[dict[str, float], list[dict[str, float]]]:
    rng = np.random.default_rng([9, novice.number])
    bias = np.exp(KIT_BIAS * rng.standard_normal(len(_STEPS)))
    logged, actual = world.tank, world.tank
    fetches = bool(rng.uniform() < FETCHED)
    first: list[dict[str, float]] = []
    told_too_many = told_for_good = False
    for day in range(FIRST, DAYS, EVERY_DAYS):
        now = MORNING + timedelta(days=day - 1, hours=8)
        course = _course(world, actual, day + 1)
        logged = replace(logged, readings=(*logged.readings, *_read(course, day, now, bias, rng)))
        standing = stand(logged, as_of=now, members=MEMBERS, seed=novice.number, threads=1, now=now)
        found = today_of(standing, seed=novice.number)
        told_for_good |= bool(found.stock)
        if found.chosen is None or not found.chosen.acts:
            continue
        enough = {"acute", "chronic"} <= set(found.good_enough)
        told_too_many |= not enough
        first.append(_first_action(world, actual, found.chosen.acts, now))
        acts = found.chosen.acts
        if fetches and not enough and found.runner_up is not None:
            acts = found.runner_up.acts
        keeper = _Keeper(world, now, bias, rng)
        logged, actual = keeper.follow(acts, logged, actual)
    told = {"told_too_many": float(told_too_many), "told_for_good": float(told_for_good)}
    return {**_hours(world, actual), **told}, first


@dataclass(frozen=True)
class _Keeper:
    """Who was told steps at a moment, and does some of them until the next reading."""

    world: _World
    now: datetime
    bias: Numbers
    rng: np.random.Generator

    def follow(self, acts: Sequence[Act], logged: Tank, actual: Tank) -> tuple[Tank, Tank]:
        """The log and the true tank with what was done of the steps."""
        for act in acts:
            if act.kind == "check":
                logged, actual = self._check(act, logged, actual)
            elif act.kind in ("fast", "less-food"):
                logged, actual = self._feed(act, logged, actual)
            else:
                for event in events_of(act, 25.0):
                    logged, actual = self._do(event, logged, actual)
        return logged, actual

    def _do(self, event: Event, logged: Tank, actual: Tank) -> tuple[Tank, Tank]:
        if not self._soon(event.at):
            return logged, actual
        really = _done(event, self.rng)
        if really is None:
            return logged, actual
        return _with(logged, [event]), _with(actual, [really])

    def _feed(self, act: Act, logged: Tank, actual: Tank) -> tuple[Tank, Tank]:
        calendar = Calendar(logged.filled, logged.time_zone)
        fed = with_acts(logged, [act], calendar).events
        meals = [e for e in fed if isinstance(e, Feed) and e not in logged.events]
        if self.rng.uniform() > FOLLOWED:
            return logged, actual
        meals = [meal for meal in meals if self._soon(meal.at)]
        return _with(logged, meals), _with(actual, meals)

    def _check(self, act: Act, logged: Tank, actual: Tank) -> tuple[Tank, Tank]:
        """Read what was asked for, and change water where it shows so much."""
        calendar = Calendar(logged.filled, logged.time_zone)
        for turn in range(act.times):
            at = act.at + timedelta(days=turn * act.every_days)
            if not self._soon(at) or self.rng.uniform() > FOLLOWED:
                continue
            day = int(calendar.days(at))
            course = _course(self.world, actual, day + 1)
            asked = dict(act.above)
            read = _read(course, day, at, self.bias, self.rng, tuple(asked))
            logged = replace(logged, readings=(*logged.readings, *read))
            if any((each.value.low or 0.0) >= asked[each.quantity] - 1e-9 for each in read):
                change = WaterChange(at=at, fraction=act.amount, temperature_c=25.0)
                share = min(act.amount * float(np.exp(OFF * self.rng.standard_normal())), 0.9)
                logged = _with(logged, [change])
                actual = _with(actual, [replace(change, fraction=share)])
        return logged, actual

    def _soon(self, at: datetime) -> bool:
        return self.now <= at < self.now + timedelta(days=EVERY_DAYS) - timedelta(hours=3)


def _with(tank: Tank, events: Sequence[Event]) -> Tank:
    return replace(tank, events=(*tank.events, *events))


def _read(
    course: Course,
    day: int,
    now: datetime,
    bias: Numbers,
    rng: np.random.Generator,
    asked: Sequence[str] = (),
) -> list[Reading]:
    place = int(np.abs(course.stops_d - (day + (now.hour - 0.0) / 24.0)).argmin())
    found = []
    for k, (quantity, steps) in enumerate(_STEPS.items()):
        usual = quantity not in ("nitrate", "ph") or day % (2 * EVERY_DAYS) == 0
        if quantity not in asked if asked else not usual:
            continue
        name = quantity if quantity == "ph" else f"{quantity}_mg_n_per_l"
        level = float(course.output(name)[place, 0])
        if quantity == "ph":
            shown = level + 0.15 * float(rng.standard_normal())
        else:
            shown = level * bias[k] * float(np.exp(KIT_ERROR * rng.standard_normal()))
        if rng.uniform() < BLUNDER:
            shown *= 0.3
        step = min(steps, key=lambda s: abs(np.sqrt(s) - np.sqrt(max(shown, 0.0))))
        basis = "none" if quantity == "ph" else "n"
        value = ReadingValue("exact", step, step, basis, f"{step:g}")
        found.append(Reading(now - timedelta(hours=1), quantity, value, kit="drops"))
    return found


def _first_action(
    world: _World, actual: Tank, acts: Sequence[Act], now: datetime
) -> dict[str, float]:
    """Acute hours and worst ratio in the true tank's next two days, with the first day's acts."""
    calendar = Calendar(actual.filled, actual.time_zone)
    begin_d = calendar.days(now)
    days = int(begin_d) + 3
    today_only = [replace(act, times=1) for act in acts]
    told: dict[str, float] = {}
    for name, tank in (
        ("without", actual),
        ("with", with_acts(actual, today_only, calendar, 25.0)),
    ):
        course = _course(world, tank, days)
        after = harm_after(course, _limits(actual), begin_d + 0.5 / 24.0, begin_d + 2.0)
        acute = [one for (tier, _), one in after.items() if tier == "acute"]
        told[f"hours {name}"] = sum(float(one.hours[0]) for one in acute)
        told[f"worst {name}"] = max(float(one.worst[0]) for one in acute)
    return told


def kept() -> Mapping[str, Mapping[str, object]]:
    """What was found so far, by tank."""
    return KEPT.found()


__all__ = ["COUNTS", "DAYS", "KEPT", "LOADS", "POLICIES", "STRUCTURES", "kept", "run"]
