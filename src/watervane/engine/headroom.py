"""Headroom: how much more daily food a tank's colonies can take, now and in weeks to come."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing, never_started, population, stand
from watervane.engine.later import MONTH_D, Aspect, Later, aspects
from watervane.engine.newcomers import (
    Arrival,
    fed_by,
    joined,
    meals_of,
    newcomers,
    planned_food_g_per_d,
    strangers,
    without_late_doses,
)
from watervane.engine.stratified import stratified
from watervane.engine.told_rooms import told_rooms
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import Limit, limits_in
from watervane.planning.room import Mapped, Tried, room_at, room_range, search
from watervane.process.calendar import Calendar, events_through
from watervane.process.read_water import known_water
from watervane.process.timeline import timeline
from watervane.records import (
    AllowedRisk,
    DatedRoom,
    Finding,
    Headroom,
    Newcomers,
    OtherRisk,
    Tank,
    TierRoom,
    WaterChange,
)

Numbers = NDArray[np.float64]
Progress = Callable[[str, float], None]
WEEKS_AHEAD = (0, 1, 2, 4, 8)
LEAST_GUESS_G_PER_L_D = 0.001  # house estimate: what a lightly stocked tank is fed
LIKELY = 0.5  # a harm that is more likely than not leaves no room, though food does not move it
SEARCHED = 500  # members amounts are run on: a block of the program is as wide
NEXT_TO_BREAK = 0.04  # of the members: those that tell what stands in the way


def headroom(
    tank: Tank,
    *,
    species: str | None = None,
    length_cm: float | None = None,
    allowed: AllowedRisk | None = None,
    weeks_ahead: Sequence[int] = WEEKS_AHEAD,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Headroom:
    """Work out how much more daily food a tank can take, and how many animals that feeds.

    Parameters
    ----------
    tank
        With its whole log.
    species, length_cm
        Animals asked about; left out, those like the animals present.
    allowed
        Chances of passing a limit that the keeper accepts; the tank's own by default.
    weeks_ahead
        When the extra food begins, from the day after the moment on.
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`. All amounts share the noise of each member and day.

    Notes
    -----
    The extra food is eaten by as many more animals as it keeps, so that their breath counts too.
    Amounts are run on `SEARCHED` members at most, evenly over how close they come to a limit as
    planned.
    """
    begun = clock.perf_counter()
    standing = stand(
        tank, as_of=as_of, members=members, seed=seed, threads=threads, now=now, progress=progress
    )
    allowed = allowed or standing.tank.allowed_risk
    who = newcomers(standing, species, length_cm)
    dates = _dated(standing, who, allowed, weeks_ahead, progress)
    first = standing.today + 1
    line = timeline(standing.tank, first + MONTH_D)
    every = _limits(standing, standing.tank, who, first + 7 * max(weeks_ahead, default=0))
    return Headroom(
        tank.name,
        tank.owner,
        standing.as_of,
        seed,
        allowed,
        who,
        planned_food_g_per_d(line, standing.tank, first),
        told_rooms(dates, every, known_water(standing.tank, seed)),
        (
            *never_started(standing),
            *unchanged_water(standing.tank, standing.as_of, dates),
            *standing.findings,
            *strangers([who], standing.tank),
        ),
        standing.how_made(begun),
    )


def unchanged_water(tank: Tank, as_of: datetime, dates: Sequence[DatedRoom]) -> tuple[Finding, ...]:
    """A caution where there is room and no change of water is planned: it may not last."""
    calendar = Calendar(tank.filled, tank.time_zone)
    last = max((each.begins for each in dates), default=as_of) + timedelta(days=MONTH_D)
    planned = any(
        isinstance(event, WaterChange) and as_of < event.at < last
        for event in events_through(tank, calendar, (last.date() - tank.filled).days)
    )
    some = any(
        all(room.food_g_per_d is None or room.food_g_per_d > 0.0 for room in each.tiers.values())
        for each in dates
    )
    return () if planned or not some else (Finding("headroom-unchanged", "caution", {}),)


@dataclass
class Trial:
    """Runs of one tank from one day on, with more and more to feed.

    Parameters
    ----------
    later
        The members, stood at the start of the day.
    tank
        With its plan.
    who
        Animals that eat the extra food.
    limits
        Of the animals present and of those.
    day
        The local day it begins on.
    """

    later: Later
    tank: Tank
    who: Newcomers
    limits: tuple[Limit, ...]
    day: int

    def __post_init__(self) -> None:
        self.seen: dict[float, list[Aspect]] = {}

    def run(self, food_g_per_d: float) -> dict[str, Numbers]:
        """How far each member goes with an amount of extra food, for each aspect."""
        if food_g_per_d not in self.seen:
            self.seen[food_g_per_d] = self._aspects(food_g_per_d)
        return {each.name: each.ratio for each in self.seen[food_g_per_d]}

    def _aspects(self, food_g_per_d: float) -> list[Aspect]:
        arrival = fed_by(self.who, self.day, food_g_per_d)
        arrivals: list[Arrival] = [] if arrival is None else [arrival]
        calendar = self.later.standing.calendar
        days = (self.day, self.day + MONTH_D)
        tank = joined(self.tank, calendar, arrivals)
        meals = meals_of(self.tank, calendar, arrivals, days)
        course = self.later.run(tank, days, meals)
        return aspects(course, self.limits, MONTH_D)


def _dated(
    standing: Standing,
    who: Newcomers,
    allowed: AllowedRisk,
    weeks_ahead: Sequence[int],
    progress: Progress | None,
) -> list[DatedRoom]:
    """The room from each date on; what the first one found saves the others tries."""
    days = [standing.today + 1 + 7 * weeks for weeks in weeks_ahead]
    later = Later(standing.some(_close_and_far(standing, who)))
    later.stand_at(standing.tank, days)
    found: list[DatedRoom] = []
    with ThreadPoolExecutor(max(standing.threads, 1)) as pool:
        if weeks_ahead:
            found.append(_room_from(later, who, allowed, weeks_ahead[0], mapped=pool.map))
        rooms = [room.food_g_per_d or 0.0 for each in found for room in each.tiers.values()]

        def another(weeks: int) -> DatedRoom:
            return _room_from(later, who, allowed, weeks, rooms)

        for each in pool.map(another, weeks_ahead[1:]):
            if progress is not None:
                progress("future", len(found) / len(weeks_ahead))
            found.append(each)
    return found


def _close_and_far(standing: Standing, who: Newcomers) -> NDArray[np.int64]:
    """Members evenly over how close they come to harm as planned, so that few tell as much."""
    count = len(standing.members)
    if count <= SEARCHED:
        return np.arange(count)
    whole, first = Later(standing), standing.today + 1
    whole.stand_at(standing.tank, [first])
    course = whole.run(standing.tank, (first, first + MONTH_D))
    limits = _limits(standing, standing.tank, who, first)
    harms = [each for each in aspects(course, limits, MONTH_D) if each.tier != "comfort"]
    return stratified(np.max([each.ratio for each in harms], axis=0), SEARCHED)


def _limits(standing: Standing, tank: Tank, who: Newcomers, day: int) -> tuple[Limit, ...]:
    until_d = standing.calendar.bounds_d(day + MONTH_D)[0]
    present = population(standing, tank, until_d).counts
    return limits_in(tank, (*(name for name, count in present.items() if count), who.species))


def _room_from(
    later: Later,
    who: Newcomers,
    allowed: AllowedRisk,
    weeks: int,
    near: Sequence[float] = (),
    *,
    mapped: Mapped = map,
) -> DatedRoom:
    standing, tank = later.standing, later.standing.tank
    day = standing.today + 1 + 7 * weeks
    calendar = standing.calendar
    if not _animals_at(standing, tank, day):
        tank = without_late_doses(tank, calendar, day, standing.as_of)
        later = Later(standing)
        later.stand_at(tank, [day])
    trial = Trial(later, tank, who, _limits(standing, tank, who, day), day)
    line = timeline(tank, day + MONTH_D)
    guess = max(
        planned_food_g_per_d(line, tank, day),
        LEAST_GUESS_G_PER_L_D * line.geometry["volume_l"],
    )
    names = trial.run(0.0)
    accepted = {name: allowed.of(name.split()[0]) for name in names}
    tried = search(trial.run, accepted, guess, near, mapped=mapped)
    others = _elsewhere(trial, allowed)
    effective = min(standing.fitted.effective, float(len(standing.members)))
    rooms = {
        tier: _tier_room(trial, tried, tier, allowed.of(tier), effective)
        for tier in dict.fromkeys(name.split()[0] for name in names)
    }
    at = calendar.moment(calendar.bounds_d(day)[0])
    for other in others:
        if other.tier != "comfort" and other.risk > LIKELY:
            rooms[other.tier] = _none(rooms[other.tier], other)
    return DatedRoom(weeks, at, rooms, tried.amounts[-1], others)


def _none(room: TierRoom, other: OtherRisk) -> TierRoom:
    """Nobody is to join a water that does harm, whatever the cause."""
    return replace(
        room,
        planned_risk=max(room.planned_risk, other.risk),
        food_g_per_d=0.0,
        least_g_per_d=0.0,
        most_g_per_d=0.0,
        subject=other.subject,
        limit=other.limit,
        animals=other.animals,
        source=other.source,
        count=0,
    )


def _animals_at(standing: Standing, tank: Tank, day: int) -> bool:
    found = population(standing, tank, standing.calendar.bounds_d(day)[0])
    return any(found.counts.values())


def _tier_room(trial: Trial, tried: Tried, tier: str, allowed: float, effective: float) -> TierRoom:
    """The smallest room of the tier's stretches of days."""
    names = [name for name in tried.found[0.0] if name.split()[0] == tier]
    borne = {name: tried.borne(name) for name in names}
    rooms = {name: room_at(each, allowed) for name, each in borne.items()}
    name = min(rooms, key=lambda n: (rooms[n], -float(np.mean(borne[n] < 0.0))))
    risks = [float(np.mean(each < 0.0)) for each in borne.values()]
    all_days = np.min(list(borne.values()), axis=0)
    least, most = room_range(borne[name], allowed, effective)
    subject, limit = _in_the_way(trial, tried, name, borne[name], allowed)
    room = rooms[name]
    whole = room / trial.who.food_g_per_d.centre + 1e-9
    return TierRoom(
        tier,
        allowed,
        max(risks),
        _finite(room),
        _finite(least),
        _finite(most),
        number_quantiles(np.maximum(all_days, 0.0)),
        subject,
        limit.key,
        limit.animals,
        limit.source,
        int(whole) if np.isfinite(whole) else None,
    )


def _finite(amount: float) -> float | None:
    return float(amount) if np.isfinite(amount) else None


def _in_the_way(
    trial: Trial, tried: Tried, name: str, borne: Numbers, allowed: float
) -> tuple[str, Limit]:
    """What the members that break first pass, at the first amount that is too much for them."""
    order = np.argsort(borne)
    share = max(int(np.ceil((allowed + NEXT_TO_BREAK) * len(order))), 1)
    first = order[:share]
    middle = borne[first][-1]
    amounts = tried.amounts
    enough = (a for a in amounts if a >= max(middle, 0.0))
    amount = next(enough, amounts[-1])
    aspect = next(each for each in trial.seen[amount] if each.name == name)
    subjects = list(aspect.by_subject)
    ratios = np.stack([aspect.by_subject[s][first] for s in subjects])
    leading = np.bincount(ratios.argmax(axis=0), minlength=len(subjects)).argmax()
    subject = subjects[int(leading)]
    return subject, aspect.leaders[subject]


def _elsewhere(trial: Trial, allowed: AllowedRisk) -> tuple[OtherRisk, ...]:
    """Limits that food does not move, passed as planned more often than is accepted."""
    found: dict[tuple[str, str], OtherRisk] = {}
    for aspect in trial.seen[0.0]:
        for subject, ratio in aspect.elsewhere.items():
            risk, key = float(np.mean(ratio > 1.0)), (aspect.tier, subject)
            known = found[key].risk if key in found else allowed.of(aspect.tier)
            if risk > known:
                leader = aspect.elsewhere_leaders[subject]
                found[key] = OtherRisk(*key, leader.key, leader.animals, leader.source, risk)
    return tuple(found.values())
