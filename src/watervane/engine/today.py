"""Today's verdict and the next steps, chosen by running what could be done over the members."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from watervane.advice.emergency import subject_of, within_the_hour
from watervane.advice.menu import Setting
from watervane.advice.notes import with_notes
from watervane.advice.read_alarm import latest_readings
from watervane.advice.weighing import Choice, choose, frontier
from watervane.engine.crowding import crowding
from watervane.engine.futures import Standing, future, limits_of, population, stop_at
from watervane.engine.left_out import without_changes
from watervane.engine.marks_to_read import marks_to_read
from watervane.engine.read_alarm import read_alarm
from watervane.engine.remarks import assumptions
from watervane.engine.stand_carried import stand_carried
from watervane.engine.swing import swing
from watervane.engine.verdict import dangers, look_ahead, passes_soon, verdict
from watervane.engine.week_ways import DAYS, Progress, Stage, can_wait_d, judged_way, searched
from watervane.forecast.harm import course_water
from watervane.inference.carrying import Carried
from watervane.limits import Limit, Water
from watervane.process.calendar import events_through
from watervane.process.run import Course
from watervane.process.timeline import timeline
from watervane.records import (
    AllowedRisk,
    Danger,
    Feed,
    Finding,
    ReadAlarm,
    Tank,
    Today,
    Verdict,
    WeekPlan,
)

Early = Callable[[Today], None]
FIRST_STEP = timedelta(minutes=30)
HURRIES = ("emergency", "harm-likely", "reading-harmful")  # verdicts under which nothing waits


def today(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    allowed: AllowedRisk | None = None,
    now: datetime | None = None,
    progress: Progress | None = None,
    early: Early | None = None,
    before: Carried | None = None,
) -> Today:
    """Judge a tank and choose the least work that keeps its animals out of harm.

    Parameters
    ----------
    tank
        With its whole log.
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`.
    allowed
        Accepted chance of passing a limit within seven days, by tier; the tank's own by default.
    early
        Called with the verdict, still without steps, as soon as it is known; then with the steps,
        before it is known whether the animals are too many for good.
    before
        Members of the tank's forecast, to be gone on with; without any they are fitted.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    begun = clock.perf_counter()
    standing = stand_carried(
        tank,
        before,
        as_of=as_of,
        members=members,
        seed=seed,
        threads=threads,
        now=now,
        progress=progress,
    ).standing
    return today_of(
        standing, seed=seed, allowed=allowed, begun=begun, progress=progress, early=early
    )


def today_of(
    standing: Standing,
    *,
    seed: int,
    allowed: AllowedRisk | None = None,
    begun: float | None = None,
    progress: Progress | None = None,
    early: Early | None = None,
) -> Today:
    """The same for members that stand ready; see `today`."""
    begun = clock.perf_counter() if begun is None else begun
    allowed = allowed or standing.tank.allowed_risk
    limits = limits_of(standing)
    planned_course = future(standing, standing.tank, DAYS)
    if not limits:
        return _composed(standing, seed, allowed, begun, Verdict("no-animals", None, (), ()))
    ahead = look_ahead(standing, planned_course, limits)
    found = dangers(standing, ahead)
    said = verdict(standing, planned_course, found, allowed)
    said = replace(said, alarm=read_alarm(standing, ahead, limits))
    if said.alarm is not None and _milder(said, said.alarm):
        said = replace(said, key="reading-harmful")
    if said.leading is not None:
        harmed = passes_soon(standing, ahead, said.leading)
        said = replace(said, swing=swing(standing, planned_course, harmed, seed))
    ph = _ph_told(standing, planned_course)
    if early is not None:
        early(_composed(standing, seed, allowed, begun, said, ph=ph))
    stage = _staged(standing, limits, planned_course)
    planned = judged_way((), planned_course, stage)
    bare = without_changes(standing, DAYS)
    left_out = None if bare is None else judged_way((), future(standing, bare, DAYS), stage)
    stage = replace(
        stage, setting=replace(stage.setting, in_doubt=_in_doubt(planned, found, allowed))
    )
    hurries = said.key in HURRIES
    tried = [planned, *searched(stage, planned_course, allowed, progress, hurries=hurries)]
    stepped = _composed(standing, seed, allowed, begun, said, tried, ph=ph)
    stepped = replace(stepped, warmth_c=stage.warmth_c, left_out=left_out)
    if early is not None:
        early(with_notes(stepped, stage.setting, limits))
    if stepped.chosen is not None and not hurries:
        stepped = replace(stepped, can_wait_d=can_wait_d(stage, stepped.chosen, allowed))
    stock = crowding(standing, limits, allowed)
    how = standing.how_made(begun)
    return with_notes(replace(stepped, stock=stock, diagnostics=how), stage.setting, limits)


def _milder(said: Verdict, alarm: ReadAlarm) -> bool:
    """Whether the members say less than a reading does by itself."""
    if said.key in ("emergency", "harm-likely"):
        return False
    return alarm.limit.tier == "acute" or said.key not in ("harm-possible", "strain-likely")


def _staged(standing: Standing, limits: tuple[Limit, ...], planned: Course) -> Stage:
    at = stop_at(planned.stops_d, standing.as_of_d)
    animals = population(standing)
    warmth = float(np.median(planned.output("temperature_c")[at]))
    line = timeline(replace(standing.tank, habits=()), standing.today)
    last_day = standing.today + DAYS
    meals = (
        event
        for event in events_through(standing.tank, standing.calendar, last_day)
        if isinstance(event, Feed) and standing.calendar.days(event.at) >= standing.as_of_d
    )
    middle, hot = _liked_warmth(limits, warmth)
    setting = Setting(
        at=standing.as_of + FIRST_STEP,
        volume_l=line.geometry["volume_l"],
        in_doubt=frozenset(),
        fed=any(meal.mass_g.high > 0.0 for meal in meals),
        animals={name: count for name, count in animals.counts.items() if count},
        masses_g=animals.masses_g,
        air_l_per_h=line.setting(
            "air_flow_l_per_h", standing.as_of_d, standing.tank.air_flow_l_per_h or 0.0
        ),
        warmth_c=middle if line.geometry["heater_power_w"] else None,
        chloride_mg_per_l=float(np.median(planned.output("chloride_mg_per_l")[at])),
        hot=hot,
        own=standing.tank.own_animals,
        marks=marks_to_read(limits, _water_at(planned, at), standing.tank.kits.values()),
    )
    return Stage(standing, limits, setting, warmth)


def _water_at(course: Course, place: int) -> Water:
    """The members' waters at one stop."""
    return course_water(course, stops=slice(place, place + 1))


def _liked_warmth(limits: Iterable[Limit], now_c: float) -> tuple[float, bool]:
    """Middle of the range all present like, and whether the water is too warm for it."""
    ends = {"above": [40.0], "below": [0.0]}
    for limit in limits:
        level = getattr(limit.level, "value", None)
        if limit.quantity == "temperature_c" and limit.tier == "comfort" and level is not None:
            ends[limit.side].append(level)
    low, high = max(ends["below"]), min(ends["above"])
    return round(0.5 * (low + high), 1), now_c > 0.5 * (low + high)


def _ph_told(standing: Standing, planned: Course) -> float | None:
    """The middle member's pH now, where somebody read it of late; else it has to be read. [-]"""
    if not latest_readings(standing.tank.readings, standing.as_of, {"ph": "ph"}):
        return None
    at = stop_at(planned.stops_d, standing.as_of_d)
    return float(np.median(planned.output("ph")[at]))


def _in_doubt(planned: WeekPlan, found: Sequence[Danger], allowed: AllowedRisk) -> frozenset[str]:
    """Subjects whose chance, in a tier over its accepted risk, is worth doing something about."""
    doubt = set()
    sides = {(one.tier, one.subject): one.limit.side for one in found}
    for key, chance in planned.by_subject.items():
        tier, subject = key.split("/")
        over = planned.chances[tier] > allowed.of(tier)
        if over and chance > 0.25 * allowed.of(tier):
            doubt.add(subject)
            if subject == "ph" and sides.get((tier, subject)) == "below":
                doubt.add("ph_below")
    return frozenset(doubt)


def _shown(tried: Sequence[WeekPlan], choice: Choice | None) -> tuple[WeekPlan, ...]:
    """The frontier, the chosen way among it, least work first."""
    found = list(frontier(tried))
    if choice is not None and choice.chosen not in found:
        found = sorted([*found, choice.chosen], key=lambda way: way.minutes)
    return tuple(found)


def _composed(
    standing: Standing,
    seed: int,
    allowed: AllowedRisk,
    begun: float,
    said: Verdict,
    tried: Sequence[WeekPlan] = (),
    *,
    ph: float | None = None,
) -> Today:
    choice = choose(tried, allowed) if tried else None
    emergency: tuple[Finding, ...] = ()
    alarm = said.alarm
    ph = next((d.value.p50 for d in said.drivers if d.name == "ph"), ph)
    if said.key == "reading-harmful" and alarm is not None and alarm.limit.tier == "acute":
        emergency = within_the_hour([subject_of(alarm.limit.subject, alarm.limit.side)], ph)
    if said.key == "emergency" and said.leading is not None:
        emergency = within_the_hour([subject_of(said.leading.subject, said.leading.limit.side)], ph)
    line = timeline(replace(standing.tank, habits=()), 0)
    return Today(
        standing.tank.name,
        standing.tank.owner,
        standing.as_of,
        seed,
        allowed,
        said,
        tried[0] if tried else None,
        choice.chosen if choice else None,
        choice.runner_up if choice else None,
        _shown(tried, choice),
        choice.good_enough if choice else (),
        choice.at_best if choice else {},
        len(tried),
        emergency,
        assumptions(standing.tank, line, standing.findings),
        standing.how_made(begun),
    )
