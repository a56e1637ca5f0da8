"""Novices' tanks under three ways of caring for them: nothing, a quarter a week, our steps.

The truth is not of our structure (`evidence.novices`); its kit reads with another error than ours
assumes. Keepers do six steps of ten, and are off by a third in amounts. Beside them stand changes
by the calendar alone of other sizes, and for some tanks our steps at other accepted risks: what
more or less work, or steps done in full, would have bought.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from evidence import novices
from evidence.keeping import SHIPPED, Kept, digest
from evidence.novices import (
    DAYS,
    KIT_STEPS,
    LOADS,
    MORNING,
    Novice,
    World,
    course_of,
    done_of,
    hours_of,
    limits_of_tank,
    too_many,
    world_of,
)
from evidence.resting import rests_on
from watervane.advice.acts import events_of, with_acts
from watervane.engine.futures import JUST_AFTER_D
from watervane.engine.stand_carried import stand_carried
from watervane.engine.today import today_of
from watervane.forecast.harm_after import JUMPS, harm_after
from watervane.process import run as runs
from watervane.process.calendar import Calendar
from watervane.process.run import Course
from watervane.records import (
    Act,
    Event,
    Feed,
    Reading,
    ReadingValue,
    Seed,
    Tank,
    WaterChange,
)

Numbers = NDArray[np.float64]
POLICIES = ("nothing", "a quarter a week", "our steps")
STRUCTURES = ("one step", "wild keeper")
EVERY_DAYS, FIRST = 4, 4
WEEK_D = 7  # as far ahead as steps are chosen for
MEMBERS = 250
VISIT_SEEDS = 104729  # from one visit's random numbers to the next one's
FETCHED = 0.5  # keepers who can get mature media, zeolite or another tank where they are told to
KIT_ERROR, KIT_BIAS, BLUNDER = 0.2, 0.12, 0.02
SCHEDULES = {  # share of the water and days between, by the words of the page
    "a tenth a week": (0.1, 7),
    "a quarter a week": (0.25, 7),
    "half a week": (0.5, 7),
    "a quarter every third day": (0.25, 3),
    "half every third day": (0.5, 3),
    "half a day": (0.5, 1),
}
IN_FULL = "steps done in full"
VARIANTS: Mapping[str, Mapping[str, float]] = {  # of our steps, by the words of the page
    "a fifth of the usual accepted risks": {"risk_times": 0.2},
    "five times the usual accepted risks": {"risk_times": 5.0},
    IN_FULL: {"followed": 1.0, "off": 0.0},
}
COUNTS = {(load, structure): 50 for load in LOADS for structure in STRUCTURES}
KEPT = Kept(
    "closed_loop",
    digest(rests_on(Path(__file__))),
    SHIPPED,
)
KEPT_VARIANTS = Kept("closed_loop_variants", KEPT.code, SHIPPED)
KEPT_BEFORE = Kept("closed_loop_before", digest(rests_on(Path(novices.__file__))), SHIPPED)


def keep(count: int, *, anew: bool, workers: int) -> None:
    """Keep the first tanks of each kind under all policies, as far as they are not kept yet."""
    tasks = {
        f"{load}/{structure}/{number}": Novice(load, structure, number)
        for number in range(count)
        for (load, structure), most in COUNTS.items()
        if number < most
    }
    KEPT.complete(tasks, live, anew=anew, workers=workers)


def keep_before(keys: Iterable[str], *, anew: bool, workers: int) -> None:
    """Keep what was over in those tanks before anybody asked what to do."""
    tasks = {}
    for key in keys:
        load, structure, number = key.split("/")
        tasks[key] = Novice(load, structure, int(number))
    KEPT_BEFORE.complete(tasks, before_first_visit, anew=anew, workers=workers)


def before_first_visit(novice: Novice) -> dict[str, float]:
    """Hours beyond limits until the first visit: the same whatever is done from then on."""
    world = world_of(novice)
    calendar = Calendar(world.tank.filled, world.tank.time_zone)
    return hours_of(world, world.tank, until_d=calendar.days(_visit(FIRST)))


def keep_variants(count: int, *, anew: bool, workers: int) -> None:
    """Keep the first tanks of each kind under variants of our steps."""
    tasks = {
        f"{name}/{load}/{structure}/{number}": Novice(load, structure, number, **told)
        for number in range(count)
        for load, structure in COUNTS
        for name, told in VARIANTS.items()
    }
    KEPT_VARIANTS.complete(tasks, live_with_steps, anew=anew, workers=workers)


def live_with_steps(novice: Novice) -> dict[str, object]:
    """One tank through sixty days under our steps alone."""
    runs.BLOCK_MEMBERS = MEMBERS
    ours, first = _with_steps(world_of(novice), novice)
    return {"our steps": ours, "first_actions": first}


def live(novice: Novice) -> dict[str, object]:
    """One tank through sixty days under each policy."""
    runs.BLOCK_MEMBERS = MEMBERS  # no result depends on it, and a half-filled block costs as much
    world = world_of(novice)
    plain = hours_of(world, world.tank)
    blind = {name: _scheduled(world, novice, *each) for name, each in SCHEDULES.items()}
    ours, first = _with_steps(world, novice)
    return {
        "load": novice.load,
        "structure": novice.structure,
        "seeded": any(isinstance(e, Seed) for e in world.tank.events),
        "volume_l": world.tank.volume_l,
        "sensitive": any(limit.group == "very sensitive" for limit in limits_of_tank(world.tank)),
        "too_many": too_many(world),
        "nothing": plain,
        **blind,
        "our steps": ours,
        "first_actions": first,
    }


def _scheduled(world: World, novice: Novice, fraction: float, every_days: int) -> dict[str, float]:
    """Changes by the calendar, whatever the water is like; done as a novice does them."""
    rng = np.random.default_rng([8, novice.number])
    events: list[Event] = list(world.tank.events)
    for turn in range(1, DAYS // every_days + 1):
        at = MORNING + timedelta(days=every_days * turn, hours=9)
        done = done_of(WaterChange(at=at, fraction=fraction, temperature_c=25.0), rng, novice)
        events += [] if done is None else [done]
    return hours_of(world, replace(world.tank, events=tuple(events)))


def _with_steps(world: World, novice: Novice) -> tuple[dict[str, float], list[dict[str, float]]]:
    rng = np.random.default_rng([9, novice.number])
    bias = np.exp(KIT_BIAS * rng.standard_normal(len(KIT_STEPS)))
    logged, actual = world.tank, world.tank
    fetches = bool(rng.uniform() < FETCHED)
    first: list[dict[str, float]] = []
    told_too_many = told_for_good = False
    chance, kept = 0.0, None
    for day in range(FIRST, DAYS, EVERY_DAYS):
        now = _visit(day)
        course = course_of(world, actual, day + 1)
        logged = replace(logged, readings=(*logged.readings, *_read(course, day, now, bias, rng)))
        looked = stand_carried(  # as a worker does: what was read since is all it takes in
            logged,
            kept,
            as_of=now,
            members=MEMBERS,
            seed=novice.number + VISIT_SEEDS * day,
            threads=1,
            now=now,
        )
        kept = looked.kept
        found = today_of(looked.standing, seed=novice.number)
        told_for_good |= bool(found.stock)
        chance = max((float(str(each.arguments["chance"])) for each in found.stock), default=0.0)
        if found.chosen is None or not found.chosen.acts:
            continue
        enough = {"acute", "chronic"} <= set(found.good_enough)
        told_too_many |= not enough
        first.append(_first_action(world, actual, found.chosen.acts, now))
        acts = found.chosen.acts
        if fetches and not enough and found.runner_up is not None:
            acts = found.runner_up.acts
        keeper = _Keeper(world, novice, now, bias, rng)
        logged, actual = keeper.follow(acts, logged, actual)
    told = {
        "told_too_many": float(told_too_many),
        "told_for_good": float(told_for_good),
        "chance_at_last": chance,
        "day_litres": _day_litres(actual),
    }
    return {**hours_of(world, actual), **told}, first


def _visit(day: int) -> datetime:
    """In the afternoon of a day after filling."""
    return MORNING + timedelta(days=day - 1, hours=8)


@dataclass(frozen=True)
class _Keeper:
    """Who was told steps at a moment, and does some of them until the next reading."""

    world: World
    novice: Novice
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
        really = done_of(event, self.rng, self.novice)
        if really is None:
            return logged, actual
        return _with(logged, [event]), _with(actual, [really])

    def _feed(self, act: Act, logged: Tank, actual: Tank) -> tuple[Tank, Tank]:
        calendar = Calendar(logged.filled, logged.time_zone)
        fed = with_acts(logged, [act], calendar).events
        meals = [e for e in fed if isinstance(e, Feed) and e not in logged.events]
        if self.rng.uniform() > self.novice.followed:
            return logged, actual
        meals = [meal for meal in meals if self._soon(meal.at)]
        return _with(logged, meals), _with(actual, meals)

    def _check(self, act: Act, logged: Tank, actual: Tank) -> tuple[Tank, Tank]:
        """Read what was asked for, and change water where it shows so much."""
        calendar = Calendar(logged.filled, logged.time_zone)
        for turn in range(act.times):
            at = act.at + timedelta(days=turn * act.every_days)
            if not self._soon(at) or self.rng.uniform() > self.novice.followed:
                continue
            day = int(calendar.days(at))
            course = course_of(self.world, actual, day + 1)
            asked = dict(act.above)
            read = _read(course, day, at, self.bias, self.rng, tuple(asked))
            logged = replace(logged, readings=(*logged.readings, *read))
            if any((each.value.low or 0.0) >= asked[each.quantity] - 1e-9 for each in read):
                change = WaterChange(at=at, fraction=act.amount, temperature_c=25.0)
                off = float(np.exp(self.novice.off * self.rng.standard_normal()))
                share = min(act.amount * off, 0.9)
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
    for k, (quantity, steps) in enumerate(KIT_STEPS.items()):
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
    world: World, actual: Tank, acts: Sequence[Act], now: datetime
) -> dict[str, float]:
    """What the true tank's animals are in for with the first day's acts, and without.

    Acute hours and the worst ratio of two days; both of a week by tier, where means of longer are
    held against a limit once, at its end; and how many limits of a jump, of acidity or of warmth,
    are passed that day.
    """
    calendar = Calendar(actual.filled, actual.time_zone)
    now_d = calendar.days(now)
    begin_d, mixed_d = now_d + 0.5 / 24.0, now_d + 0.5 / 24.0 + JUST_AFTER_D
    today_only = [replace(act, times=1) for act in acts]
    limits = limits_of_tank(actual)
    told: dict[str, float] = {}
    for name, tank in (
        ("without", actual),
        ("with", with_acts(actual, today_only, calendar, 25.0)),
    ):
        course = course_of(world, tank, int(now_d) + WEEK_D + 1, (begin_d, mixed_d))
        soon = harm_after(course, limits, begin_d, now_d + 2.0)
        acute = [one for (tier, _), one in soon.items() if tier == "acute"]
        told[f"hours {name}"] = sum(float(one.hours[0]) for one in acute)
        told[f"worst {name}"] = max(float(one.worst[0]) for one in acute)
        week = harm_after(course, limits, begin_d, now_d + WEEK_D)
        for of in ("acute", "chronic"):
            some = [one for (tier, _), one in week.items() if tier == of]
            told[f"{of} hours of a week {name}"] = sum(float(one.hours[0]) for one in some)
            told[f"{of} worst of a week {name}"] = max(float(one.worst[0]) for one in some)
        jumped = [limit for limit in limits if limit.quantity in JUMPS]
        day = harm_after(course, jumped, begin_d, now_d + 1.0)
        told[f"jumps {name}"] = float(sum(one.passed[0] for one in day.values()))
    return told


def _day_litres(tank: Tank) -> float:
    """Most water changed on one day. [L]"""
    days: dict[date, float] = {}
    for event in tank.events:
        if isinstance(event, WaterChange):
            of = event.at.date()
            days[of] = days.get(of, 0.0) + event.fraction * (tank.volume_l or 0.0)
    return max(days.values(), default=0.0)


__all__ = [
    "COUNTS",
    "DAYS",
    "IN_FULL",
    "KEPT",
    "KEPT_BEFORE",
    "KEPT_VARIANTS",
    "LOADS",
    "POLICIES",
    "SCHEDULES",
    "STRUCTURES",
    "VARIANTS",
    "keep",
    "keep_before",
    "keep_variants",
]
