"""The challenge test: dose ammonia, wait a day, read; what the kit will show, and what that tells.

It is planned where no animals are in. Once dose and reading are in the log they are events and
readings like all others, so the next fit of the members learns from them.
"""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing, looks, population, stand
from watervane.engine.kept_course import one_after_another
from watervane.engine.kit_chances import chances_by_member, witnesses
from watervane.engine.member_runs import FUTURE
from watervane.engine.newcomers import protein_of_food
from watervane.engine.showable import showable
from watervane.forecast.capacity import capacity_mg_n_per_l_d
from watervane.forecast.quantiles import number_quantiles
from watervane.process.geometry import tank_geometry
from watervane.process.run import Course, initial_state, simulate
from watervane.process.timeline import NITROGEN_PER_PROTEIN, timeline
from watervane.records import (
    QUANTILES,
    AnimalsIn,
    Answer,
    Challenge,
    ChallengeReading,
    Dose,
    NumberQuantiles,
    Reading,
    ReadingValue,
    SettledLevels,
    Span,
    Tank,
)
from watervane.reference import substance

Numbers = NDArray[np.float64]
Progress = Callable[[str, float], None]
DOSES_MG_N_PER_L = (0.5, 1.0, 2.0, 3.0, 4.0)
MOST_MG_N_PER_L = 5.0  # more than that slows the colonies it is to test
DOSE_HOUR, WAIT_H = 8, 24
COMING_DAYS = 4  # animals that come sooner would meet what is left of the dose
USUAL_SUBSTANCE = "ammonium chloride"
MG_N_PER_MMOL = 14.0067
ALL_GONE_MG_N_PER_L = SettledLevels().ammonia_mg_n_per_l


class CannotChallenge(Exception):
    """The tank cannot be challenged; ``reason`` is a key."""

    def __init__(self, reason: str, **told: object) -> None:
        super().__init__(reason)
        self.reason, self.told = reason, told


def dose_mass_g(name: str, rise_mg_n_per_l: float, volume_l: float) -> Span:
    """How much of a substance raises ammonia by an amount: stoichiometry. [g]

    Parameters
    ----------
    name : str
        Of the substance.
    rise_mg_n_per_l : float [mg N/L]
    volume_l : float [L]

    Returns
    -------
    Span
        From the strongest to the weakest it is sold as.

    Raises
    ------
    CannotChallenge
        If the substance brings no ammonia.
    """
    what = substance(name)
    if what.tan_mol <= 0.0:
        raise CannotChallenge("no-ammonia", substance=what.name)
    moles = rise_mg_n_per_l * volume_l / 1000.0 / MG_N_PER_MMOL / what.tan_mol
    pure_g = moles * what.molar_mass_g_per_mol
    return Span(pure_g / what.strength_span.high, pure_g / what.strength_span.low)


def challenge(
    tank: Tank,
    *,
    substance_name: str = USUAL_SUBSTANCE,
    dose_mg_n_per_l: float | None = None,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Challenge:
    """Plan a challenge test for the morning after a moment, and foretell what the kit will show.

    Parameters
    ----------
    tank
        With its whole log.
    substance_name
        What is dosed.
    dose_mg_n_per_l
        By how much it raises ammonia; left out, the dose whose readings narrow most what the
        colonies can carry. [mg N/L]
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`.

    Raises
    ------
    CannotChallenge
        Where animals are in, or come soon, or the dose cannot be.
    """
    begun = clock.perf_counter()
    dose_mass_g(substance_name, 1.0, 1.0)
    if dose_mg_n_per_l is not None and not 0.1 <= dose_mg_n_per_l <= MOST_MG_N_PER_L:
        raise CannotChallenge("dose-size", least=0.1, most=MOST_MG_N_PER_L)
    standing = stand(
        tank, as_of=as_of, members=members, seed=seed, threads=threads, now=now, progress=progress
    )
    scene = _Scene(standing, substance_name, seed)
    _refuse_with_animals(standing, scene.dose_d)
    doses = DOSES_MG_N_PER_L if dose_mg_n_per_l is None else (dose_mg_n_per_l,)
    tried = []
    for place, dose in enumerate(doses):
        if progress is not None:
            progress("future", place / len(doses))
        tried.append(scene.ask(dose))
    best = min(tried, key=lambda outcome: outcome.narrowing)
    volume_l = tank_geometry(tank)[0]["volume_l"]
    normal = tank.normal_food_g_per_d
    what = substance(substance_name)
    return Challenge(
        tank.name,
        tank.owner,
        standing.as_of,
        seed,
        what.name,
        best.dose,
        dose_mass_g(substance_name, best.dose, volume_l),
        dose_mg_n_per_l is None,
        standing.calendar.moment(scene.dose_d),
        standing.calendar.moment(scene.read_d),
        number_quantiles(np.minimum(*best.carries)),
        None if normal is None else normal.centre,
        float(np.mean(best.left < ALL_GONE_MG_N_PER_L)),
        best.readings,
        standing.findings,
        standing.how_made(begun),
    )


def _refuse_with_animals(standing: Standing, dose_d: float) -> None:
    present = population(standing, until_d=dose_d + COMING_DAYS).counts
    there = {name: count for name, count in present.items() if count}
    if not there:
        return
    name = max(there, key=lambda each: there[each])
    coming = [
        e.at
        for e in standing.tank.events
        if isinstance(e, AnimalsIn) and standing.calendar.days(e.at) > standing.as_of_d
    ]
    now = any(population(standing).counts.values())
    if now:
        raise CannotChallenge("animals", count=there[name], species=name)
    raise CannotChallenge("animals-coming", species=name, date=min(coming), days=COMING_DAYS)


@dataclass(frozen=True)
class _Outcome:
    """One dose run: what each member's two colonies carry, what is left, what the kits show."""

    dose: float
    carries: tuple[Numbers, Numbers]
    left: Numbers
    readings: tuple[ChallengeReading, ...]

    @property
    def narrowing(self) -> float:
        """Of both colonies, equally."""
        return float(np.mean([reading.narrowing for reading in self.readings]))


class _Scene:
    """Where and when a dose is tried."""

    def __init__(self, standing: Standing, substance_name: str, seed: int) -> None:
        self._standing, self._substance, self._seed = standing, substance_name, seed
        calendar = standing.calendar
        self._first = standing.today + 1
        morning = calendar.bounds_d(self._first)[0] + DOSE_HOUR / 24.0
        self.dose_d, self.read_d = morning, morning + WAIT_H / 24.0
        self._quiet = _without_other_doses(standing, self.dose_d)
        self._past = self._run_past()

    def _run_past(self) -> Course:
        """From filling on, with a stop at every reading that was weighed."""
        one = self._standing
        line = timeline(self._quiet, self._first)
        stops = sorted({one.calendar.days(r.at) for r in one.readings})
        days = (0, self._first)
        begin = initial_state(line, one.members)
        return simulate(line, one.members, begin, days, stops_d=stops, threads=one.threads)

    def ask(self, dose: float) -> _Outcome:
        """Run one dose and weigh all its readings could be."""
        one = self._standing
        at = one.calendar.moment(self.dose_d)
        event = Dose(at=at, substance=self._substance, added_mg_n_per_l=dose)
        tank = replace(self._quiet, events=(*self._quiet.events, event))
        days = (self._first, self._first + 2)
        stops = sorted({*looks(one.calendar, days, 4), self.dose_d, self.read_d})
        members = replace(one.members, numbers=one.members.numbers + FUTURE)
        ahead = simulate(
            timeline(tank, days[1]),
            members,
            self._past.final,
            days,
            stops_d=stops,
            threads=one.threads,
        )
        carries = self._carries(ahead)
        course = one_after_another([self._past, ahead])
        seen = witnesses(course, one.fitted, one.calendar, self._seed)
        blanks = [_blank(tank, one.readings, q, one.calendar.moment(self.read_d)) for q in READ]
        later = [showable(tank, blank) for blank in blanks]
        each = chances_by_member(tank, one.readings, later, seen)
        chances = [told[:-1] / np.maximum(told[:-1].sum(axis=0), 1e-300) for told in each]
        readings = tuple(
            ChallengeReading(
                blank.quantity,
                blank.kit,
                number_quantiles(colony),
                _narrowing(chances, colony),
                _answers(shown.instead, of_each, colony),
            )
            for blank, shown, of_each, colony in zip(blanks, later, chances, carries, strict=True)
        )
        at_read = int(np.abs(ahead.stops_d - self.read_d).argmin())
        left = ahead.output("ammonia_mg_n_per_l")[at_read]
        return _Outcome(dose, carries, left, readings)

    def _carries(self, course: Course) -> tuple[Numbers, Numbers]:
        """Daily food whose nitrogen each colony turns over at the settled levels. [g/d]"""
        at = np.array([int(np.abs(course.stops_d - self.dose_d).argmin())])
        levels, parameters = self._standing.tank.settled_levels, self._standing.members.parameters
        ammonia, nitrite = (
            capacity_mg_n_per_l_d(course, at, parameters, guild, levels.of(guild))[0]
            for guild in ("ammonia", "nitrite")
        )
        onward = ammonia * parameters["complete_oxidation_share"]
        line = timeline(replace(self._quiet, habits=()), 0)
        of_a_gram = 1000.0 * protein_of_food(self._quiet) * NITROGEN_PER_PROTEIN
        grams = line.geometry["volume_l"] / of_a_gram
        return ammonia * grams, (nitrite + onward) * grams


READ = ("ammonia", "nitrite")


def _without_other_doses(standing: Standing, dose_d: float) -> Tank:
    """The tank with nothing else done from the day of the dose on."""
    tank, calendar = standing.tank, standing.calendar
    until = (calendar.moment(dose_d) - timedelta(days=1)).date()
    habits = tuple(
        replace(h, until=until if h.until is None else min(h.until, until)) for h in tank.habits
    )
    events = tuple(e for e in tank.events if calendar.days(e.at) <= standing.as_of_d)
    return replace(tank, habits=habits, events=events)


def _blank(tank: Tank, used: Sequence[Reading], quantity: str, at: datetime) -> Reading:
    """A reading with the kit last used for a quantity, else the first kit that has it."""
    known = [r for r in used if r.quantity == quantity and not r.of_source_water]
    if known:
        last = known[-1]
        value = ReadingValue("exact", 0.0, 0.0, last.value.basis)
        return Reading(at, quantity, value, kit=last.kit)
    for kit in tank.kits.values():
        scale = kit.scale(quantity)
        if scale is not None:
            return Reading(at, quantity, ReadingValue("exact", 0.0, 0.0, scale.basis), kit=kit.name)
    return Reading(at, quantity, ReadingValue("exact", 0.0, 0.0, "unknown"))


def _answers(shown: Sequence[Reading], chances: Numbers, carries: Numbers) -> tuple[Answer, ...]:
    return tuple(
        Answer(reading.value, float(row.mean()), NumberQuantiles(*_weighted(carries, row)))
        for reading, row in zip(shown, chances, strict=True)
    )


def _weighted(values: Numbers, weights: Numbers) -> list[float | None]:
    total = float(weights.sum())
    if total <= 1e-12:
        return [None] * len(QUANTILES)
    order = np.argsort(values)
    share = np.cumsum(weights[order]) / total
    last = len(order) - 1
    return [float(values[order[min(int(np.searchsorted(share, q)), last)]]) for q in QUANTILES]


def _narrowing(chances: Sequence[Numbers], carries: Numbers) -> float:
    """Expected width of the 90 % range of what is carried, as a share of the width now."""
    logs = np.log(np.maximum(carries, 1e-9))
    now = _width(logs, np.ones_like(logs))
    if now <= 0.0:
        return 1.0
    expected, first, second = 0.0, chances[0], chances[-1]
    for one in first:
        for other in second:
            weights = one * other
            expected += float(weights.mean()) * _width(logs, weights)
    return float(min(expected / now, 1.0))


def _width(logs: Numbers, weights: Numbers) -> float:
    found = _weighted(logs, weights)
    low, high = found[0], found[-1]
    return 0.0 if low is None or high is None else high - low
