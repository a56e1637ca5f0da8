"""The way to a full tank: batches searched by running candidate futures of this tank's members."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing, never_started, population, stand
from watervane.engine.later import MONTH_D, Aspect, Later, aspects
from watervane.engine.newcomers import (
    Arrival,
    joined,
    meals_of,
    newcomers,
    planned_food_g_per_d,
    strangers,
    without_late_doses,
)
from watervane.limits import Limit, limits_in
from watervane.planning.filling import Batch, Schedule, fill, orders
from watervane.process.run import Course
from watervane.process.state import TankState
from watervane.process.timeline import timeline
from watervane.records import (
    Addition,
    AllowedRisk,
    Filling,
    LeftOver,
    Newcomers,
    OtherRisk,
    Tank,
    Wish,
)
from watervane.reference import animal_needs

Numbers = NDArray[np.float64]
Progress = Callable[[str, float], None]
SEARCHED_ON = 250  # members of a search; one block of the program holds more, all check
WEEK_D = 7
LIKELY = 0.5
LARGEST_STEP = 1.0  # of the load carried: common practice, no source
LEAST_LOAD_G_PER_L_D = 0.002  # house estimate: a lightly stocked tank
HARDINESS = ("hardy", "tolerant", "ordinary", "amphibian", "mollusc", "crustacean", "sensitive")


def fill_tank(
    tank: Tank,
    wishes: Sequence[Wish],
    *,
    quarantine_days: int = 28,
    allowed: AllowedRisk | None = None,
    horizon_days: int = 182,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    as_of: datetime | None = None,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Filling:
    """Find the order, batch sizes and dates that have all wished-for animals in soonest.

    Parameters
    ----------
    tank
        With its whole log.
    wishes
        Animals wished for, in any order.
    quarantine_days
        Each batch stays so long in the one quarantine tank before it joins. [d]
    allowed
        Chances of passing a limit that the keeper accepts; the tank's own by default.
    horizon_days
        Days within which all are to be in. [d]
    members, seed, threads, as_of, now, progress
        See `watervane.engine.foretell`.
    """
    begun = clock.perf_counter()
    standing = stand(
        tank,
        as_of=as_of,
        members=members,
        seed=seed,
        threads=threads,
        now=now,
        progress=progress,
    )
    allowed = allowed or standing.tank.allowed_risk
    who = [newcomers(standing, wish.species, wish.length_cm) for wish in wishes]
    some = np.linspace(0, members - 1, min(SEARCHED_ON, members)).astype(np.int64)
    counts = [wish.count for wish in wishes]
    first = standing.today + 1
    days = joining_days(first + quarantine_days, first + horizon_days)
    spacing = max(quarantine_days, WEEK_D)
    found: dict[tuple[int, ...], Schedule] = {}
    searched = Ground(standing.some(some), who, allowed)
    candidates = orders(_hardy_and_cheap_first(who, standing.tank))
    for place, order in enumerate(candidates):
        if progress is not None:
            progress("future", place / len(candidates))
        done = [s.finish for s in found.values() if s.finish is not None]
        limit = min(done) if done else None
        found[order] = fill(order, counts, days, spacing, searched.bears, limit)
    best = min(found.values(), key=lambda s: s.rank)
    checked, number = Ground(standing, who, allowed), len(some)
    if not checked.holds(best):
        best = fill(best.order, counts, days, spacing, checked.bears)
        number = members
    written = found.get(tuple(range(len(wishes))))
    calendar = standing.calendar
    return Filling(
        tank.name,
        tank.owner,
        standing.as_of,
        seed,
        allowed,
        horizon_days,
        quarantine_days,
        tuple(wishes),
        tuple(_addition(checked, best, batch, wishes, quarantine_days) for batch in best.batches),
        _left(checked, best, wishes, days),
        _elsewhere(checked, best, days[0]),
        None if best.finish is None else calendar.date(best.finish),
        None if written is None or written.finish is None else calendar.date(written.finish),
        len(candidates),
        number,
        (*never_started(standing), *standing.findings, *strangers(who, standing.tank)),
        standing.how_made(begun),
    )


def joining_days(first: int, last: int) -> list[int]:
    """Days on which animals may join: week by week at first, then a third farther each time."""
    found, ahead = [], 0
    while first + ahead <= last:
        found.append(first + ahead)
        ahead += max(WEEK_D, WEEK_D * round(ahead / 3 / WEEK_D))
    return found


def _hardy_and_cheap_first(who: Sequence[Newcomers], tank: Tank) -> list[int]:
    def key(place: int) -> tuple[int, float]:
        group = animal_needs(who[place].species, tank.own_animals).group("ammonia group")
        rank = HARDINESS.index(group) if group in HARDINESS else len(HARDINESS)
        return rank, who[place].food_g_per_d.centre

    return sorted(range(len(who)), key=key)


@dataclass
class Ground:
    """Candidate futures of one tank, each run once.

    Parameters
    ----------
    standing
        The members that are run.
    who
        What one animal of each wish weighs and eats.
    allowed
        Chances that are accepted.
    """

    standing: Standing
    who: Sequence[Newcomers]
    allowed: AllowedRisk
    courses: dict[tuple[tuple[Batch, ...], int], Course] = field(default_factory=dict)
    seen: dict[tuple[tuple[Batch, ...], int], list[Aspect]] = field(default_factory=dict)

    def bears(self, batches: tuple[Batch, ...], day: int) -> bool:
        """Whether the weeks from a day on stay within the accepted risk of every tier.

        What is not borne without those of the day is not borne with them, so that is asked first.
        """
        before = tuple(b for b in batches if b.day < day)
        if before != batches and not (self.gradual(batches, day) and self.bears(before, day)):
            return False
        return all(r <= self.allowed.of(t) + 1e-9 for t, r in self.risks(batches, day).items())

    def gradual(self, batches: tuple[Batch, ...], day: int) -> bool:
        """Whether the batches of a day do no more than double the load.

        A tank's readings say little of a load far beyond what it has carried.
        """
        line = timeline(self.standing.tank, day + MONTH_D)
        least = LEAST_LOAD_G_PER_L_D * line.geometry["volume_l"]
        normal = self.standing.tank.normal_food_g_per_d
        carried = planned_food_g_per_d(line, self.standing.tank, day)
        carried = max(carried, least, 0.0 if normal is None else normal.centre)
        food = {b: b.count * self.who[b.wish].food_g_per_d.centre for b in batches}
        carried += sum(grams for b, grams in food.items() if b.day < day)
        joining = sum(grams for b, grams in food.items() if b.day == day)
        return joining <= LARGEST_STEP * carried + 1e-9

    def risks(self, batches: tuple[Batch, ...], day: int) -> dict[str, float]:
        """The chance of passing a limit of each tier: acute in any week, others in four weeks."""
        found: dict[str, float] = {}
        for aspect in self.look(batches, day):
            risk = float(np.mean(aspect.ratio > 1.0))
            found[aspect.tier] = max(risk, found.get(aspect.tier, 0.0))
        return found

    def look(self, batches: tuple[Batch, ...], day: int) -> list[Aspect]:
        """How far members go in the four weeks from a day on."""
        key = (batches, day)
        if key not in self.seen:
            course = self._run(batches, day)
            self.seen[key] = aspects(course, self._limits(batches, day), MONTH_D)
        return self.seen[key]

    def holds(self, schedule: Schedule) -> bool:
        """Whether these members bear a whole schedule."""
        days = sorted({b.day for b in schedule.batches})
        return all(
            self.bears(tuple(b for b in schedule.batches if b.day <= day), day) for day in days
        )

    def _limits(self, batches: tuple[Batch, ...], day: int) -> tuple[Limit, ...]:
        calendar, tank = self.standing.calendar, self.standing.tank
        until = calendar.bounds_d(day + MONTH_D)[0]
        counts = population(self.standing, tank, until).counts
        names = [name for name, count in counts.items() if count]
        names += [self.who[b.wish].species for b in batches]
        return limits_in(tank, names)

    def _tank(self, first: int) -> Tank:
        """The tank without ammonia dosed from shortly before its first animals come."""
        one = self.standing
        at = one.calendar.bounds_d(first)[0]
        if any(population(one, one.tank, at).counts.values()):
            return one.tank
        return without_late_doses(one.tank, one.calendar, first, one.as_of)

    def _run(self, batches: tuple[Batch, ...], day: int) -> Course:
        """Four weeks from a day on, begun where the batches before that day have brought it."""
        key = (batches, day)
        if key in self.courses:
            return self.courses[key]
        before = tuple(b for b in batches if b.day < day)
        tank = self._tank(min((b.day for b in batches), default=day))
        if before:
            came = max(b.day for b in before)
            earlier = self._on_to(before, came, day)
        else:
            later = Later(self.standing)
            later.stand_at(tank, [day])
            earlier = later.states[day]
        self.courses[key] = self._ahead(tank, batches, earlier, (day, day + MONTH_D))
        return self.courses[key]

    def _on_to(self, batches: tuple[Batch, ...], came: int, day: int) -> TankState:
        """The state at the start of a later day, the last batches having come on a day."""
        course = self._run(batches, came)
        if day in course.checkpoints:
            return course.checkpoints[day]
        end = came + MONTH_D
        if day == end:
            return course.final
        tank = self._tank(min(b.day for b in batches))
        return self._ahead(tank, batches, course.final, (end, day)).final

    def _ahead(
        self, tank: Tank, batches: tuple[Batch, ...], state: TankState, days: tuple[int, int]
    ) -> Course:
        calendar = self.standing.calendar
        arrivals = [self._arrival(b) for b in batches]
        plan = joined(tank, calendar, arrivals)
        meals = meals_of(tank, calendar, arrivals, days)
        keep = range(days[0] + WEEK_D, days[1], WEEK_D)
        return Later(self.standing).run(plan, days, meals, start=state, keep=list(keep))

    def _arrival(self, batch: Batch) -> Arrival:
        who = self.who[batch.wish]
        food = batch.count * who.food_g_per_d.centre
        return Arrival(batch.day, who.species, batch.count, who.mass_g, food)


def _addition(
    ground: Ground, schedule: Schedule, batch: Batch, wishes: Sequence[Wish], quarantine: int
) -> Addition:
    wish, who = wishes[batch.wish], ground.who[batch.wish]
    add_on = ground.standing.calendar.date(batch.day)
    so_far = tuple(b for b in schedule.batches if b.day <= batch.day)
    return Addition(
        wish.species,
        batch.count,
        who.length_cm,
        add_on - timedelta(days=quarantine),
        add_on,
        batch.count * who.food_g_per_d.centre,
        ground.risks(so_far, batch.day),
    )


def _left(
    ground: Ground, schedule: Schedule, wishes: Sequence[Wish], days: list[int]
) -> tuple[LeftOver, ...]:
    """What does not fit, and what would be passed first if it came on the last day."""
    found = []
    for place in schedule.order:
        count = schedule.left[place]
        if not count:
            continue
        day = days[-1]
        more = (*schedule.batches, Batch(day, place, count))
        risks, without = ground.risks(more, day), ground.risks(schedule.batches, day)
        over = max(risks, key=lambda tier: risks[tier] / max(ground.allowed.of(tier), 1e-9))
        worst = max(
            (a for a in ground.look(more, day) if a.tier == over),
            key=lambda a: float(np.mean(a.ratio > 1.0)),
        )
        if risks[over] <= ground.allowed.of(over):
            found.append(LeftOver(wishes[place].species, count, "", "", "", 0.0, 0.0))
            continue
        shares = {name: float(np.mean(r > 1.0)) for name, r in worst.by_subject.items()}
        subject = max(shares, key=lambda name: shares[name])
        found.append(
            LeftOver(
                wishes[place].species,
                count,
                over,
                subject,
                worst.leaders[subject].key,
                risks[over],
                without.get(over, 0.0),
            )
        )
    return tuple(found)


def _elsewhere(ground: Ground, schedule: Schedule, first: int) -> tuple[OtherRisk, ...]:
    """Limits that food does not move and that are likely passed, such as a pH above a range."""
    found: dict[tuple[str, str], OtherRisk] = {}
    batches = schedule.batches
    for aspect in ground.look(batches, max((b.day for b in batches), default=first)):
        for subject, ratio in aspect.elsewhere.items():
            risk, leader = float(np.mean(ratio > 1.0)), aspect.elsewhere_leaders[subject]
            key = (aspect.tier, subject)
            if risk > LIKELY and (key not in found or risk > found[key].risk):
                found[key] = OtherRisk(*key, leader.key, leader.animals, leader.source, risk)
    return tuple(found.values())
