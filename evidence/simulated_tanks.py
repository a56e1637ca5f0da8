"""Truths drawn from the prior, simulated, read with coarse kits, and looked for again.

Besides truths of our own structure there are three others, which the model is not told of:
one-step nitrification, a keeper who feeds wildly and leaves things out of the log, and kits
that read a fifth too high.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from watervane.engine.daily import daily_readings, days_of
from watervane.forecast.milestones import SettledLevels, peak_days, settled_days
from watervane.inference.calibration import place, stratified_truths
from watervane.inference.fitting import QUICK, fit_members
from watervane.inference.observation import Seen, draw, observation_models, written
from watervane.inference.priors import UNKNOWNS
from watervane.inference.tank_target import TankTarget
from watervane.inference.tempered import Effort
from watervane.process.day_program import Action
from watervane.process.noise import keyed_uniform
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import WATER
from watervane.process.timeline import Timeline, meal_action, timeline
from watervane.records import (
    AnimalsIn,
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
HORIZON_DAYS = 70
STRUCTURES = ("ours", "one step", "wild keeper", "kits a fifth high")
RULE_DAYS = (28.0, 42.0)  # "four to six weeks"
WATCHED = (
    "ammonia_oxidiser_growth_per_d",
    "nitrite_oxidiser_growth_per_d",
    "initial_ammonia_oxidisers_mg_per_l",
    "initial_nitrite_oxidisers_mg_per_l",
    "food_multiplier",
    "bed_area_multiplier",
)
SPILT_D, CHANGED_D = 4.8, 7.5  # what a wild keeper leaves out of the log
MILESTONES = ("ammonia peak", "nitrite peak", "settled")
_UTC = ZoneInfo("UTC")
_START = datetime(2026, 3, 1, 18, tzinfo=_UTC)
_SEED = Seed(
    at=_START + timedelta(hours=2), source="media", volume_l=0.1, condition="rinsed in tank water"
)
_STEPS = {
    "ammonia": (0.0, 0.2, 0.5, 1.0, 2.0, 4.0),
    "nitrite": (0.0, 0.1, 0.3, 0.7, 1.5, 3.0),
    "nitrate": (0.0, 1.0, 2.5, 5.0, 10.0, 20.0),
    "ph": (6.0, 6.5, 7.0, 7.5, 8.0, 8.5),
}


def blank_tank(*, seeded: bool, until: int) -> Tank:
    """An invented tank with its kit and the moments it is read; values are drawn later."""
    scales = tuple(
        KitScale(quantity, steps=steps, basis="none" if quantity == "ph" else "n")
        for quantity, steps in _STEPS.items()
    )
    readings = []
    for day in range(2, until + 1, 2):
        asked = ("ammonia", "nitrite", *(("nitrate", "ph") if day % 6 == 2 else ()))
        for quantity in asked:
            value = ReadingValue("exact", 0.0, 0.0, "none" if quantity == "ph" else "n", "0")
            readings.append(Reading(_START + timedelta(days=day), quantity, value, kit="drop"))
    meal = Feed(at=_START.replace(hour=8), mass_g=Span(0.05, 0.15))
    return Tank(
        name="simulated",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=5.0, gh_dgh=8.0),
        events=(
            AnimalsIn(at=_START + timedelta(days=1), species="Danio rerio", count=6, length_cm=3.0),
            *(
                WaterChange(at=_START + timedelta(days=day), fraction=0.25)
                for day in range(9, HORIZON_DAYS, 14)
            ),
            *((_SEED,) if seeded else ()),
        ),
        habits=(Habit(template=meal, every_days=1, start=date(2026, 3, 2)),),
        kits={"drop": Kit("drop", "drop", scales)},
        readings=tuple(readings),
    )


@dataclass(frozen=True)
class Case:
    """Which truths, and how they are looked for.

    Parameters
    ----------
    structure
        Of `STRUCTURES`.
    seeded
        Whether their tanks were.
    count
        Truths.
    until
        Day of the last reading.
    restless
        Whether the fit knows that days differ; see `TankTarget`.
    """

    structure: str
    seeded: bool
    count: int
    until: int = 12
    restless: bool = True
    seed: int = 1


@dataclass(frozen=True)
class Found:
    """What became of one truth.

    Parameters
    ----------
    places, prior_places
        Where it lies among posterior and prior members, by quantity.
    score_d
        CRPS of the settled date by the posterior, the prior and the four-to-six-weeks rule;
        dates past the horizon count as the horizon. [d]
    days
        When the truth's milestones were, infinite where never. [d]
    sweeps, effective
        Of the run.
    """

    places: Mapping[str, float]
    prior_places: Mapping[str, float]
    score_d: Mapping[str, float]
    days: Mapping[str, float]
    sweeps: int
    effective: float


@dataclass(frozen=True)
class Truths:
    """Many tanks with their readings."""

    line: Timeline
    z: Numbers
    readings: tuple[tuple[Reading, ...], ...]
    quantities: Mapping[str, Numbers]


def look_for(number: int, case: Case, members: int, effort: Effort = QUICK) -> Found:
    """Fit one truth's readings and see where the truth lies."""
    drawn = truths(case)
    readings = drawn.readings[number]
    line = replace(drawn.line, tank=replace(drawn.line.tank, readings=readings))
    fitted = fit_members(
        line, readings, members, 1000 + number, 1, effort=effort, restless=case.restless
    )
    if fitted.info is None or fitted.z is None:
        raise ValueError("a truth without readings")
    there = _quantities(case, line, fitted.z, fitted.members)
    before = _prior(case.seeded, case.until)
    rng = np.random.default_rng([case.seed, number])
    actual = {name: float(values[number]) for name, values in drawn.quantities.items()}
    settled = {
        "posterior": there["settled"],
        "prior": before["settled"],
        "rule": np.linspace(*RULE_DAYS, 57),
    }
    return Found(
        {name: place(value, there[name], rng) for name, value in actual.items()},
        {name: place(value, before[name], rng) for name, value in actual.items()},
        {name: _crps(actual["settled"], days) for name, days in settled.items()},
        {name: actual[name] for name in MILESTONES},
        fitted.info.sweeps,
        fitted.effective,
    )


@cache
def truths(case: Case) -> Truths:
    """Draw truths, stratified unknown by unknown, and read each tank."""
    tank = blank_tank(seeded=case.seeded, until=case.until)
    line = timeline(tank, HORIZON_DAYS + 1)
    target = TankTarget(line, tank.readings, case.seed, 1)
    z = stratified_truths(len(target.names), case.count, case.seed)
    members, extra = _of_structure(case.structure, target.members(z))
    look = target.look
    course = _run(line, members, target.last_day + 1, look.moments, extra)
    stops = np.array([look.moments.index(line.calendar.days(r.at)) for r in tank.readings])
    if case.structure == "kits a fifth high":
        course.outputs[:3] *= 1.2  # ammonia, nitrite, nitrate as the kits will show them
    numbers = np.arange(case.count)
    shown = draw(
        observation_models(tank, tank.readings),
        Seen(course, stops),
        dict(zip(look.latents, z[target.latent_rows], strict=True)),
        lambda stream, at: keyed_uniform(case.seed, numbers, at, f"read {stream}"),
    )
    readings = tuple(
        tuple(written(tank, r, float(shown[i, k])) for i, r in enumerate(tank.readings))
        for k in range(case.count)
    )
    told = replace(case, restless=True)  # truths are, whatever the fit knows
    return Truths(line, z, readings, _quantities(told, line, z, members, extra))


def _of_structure(structure: str, members: Members) -> tuple[Members, tuple[Action, ...]]:
    """Members of another structure than the model's, and what is done but not logged."""
    if structure == "one step":
        return in_one_step(members), ()
    if structure == "wild keeper":
        told = {name: (1.8 if name == "food" else 1.0) * z for name, z in members.told.items()}
        unlogged = (
            meal_action(SPILT_D, Span(0.3, 0.3), 0.42, 60.0),
            Action(
                CHANGED_D,
                {"volume_keep": 0.7, "fill_to_mark": 1.0},
                {"keep": dict.fromkeys(WATER, 0.7)},
            ),
        )
        return replace(members, told=told), unlogged
    return members, ()


def in_one_step(members: Members) -> Members:
    """Members whose nitrite eaters are so many and quick that ammonia seems to become nitrate."""
    changed = dict(members.parameters)
    for name, factor in (
        ("nitrite_oxidiser_growth_per_d", 4.0),
        ("nitrite_oxidiser_half_saturation", 0.3),
        ("initial_nitrite_oxidisers_mg_per_l", 100.0),
    ):
        changed[name] = factor * changed[name]
    return replace(members, parameters=changed)


def _run(
    line: Timeline,
    members: Members,
    end: int,
    stops_d: Sequence[float],
    extra: tuple[Action, ...] = (),
    *,
    restless: bool = True,
) -> Course:
    start = initial_state(line, members)
    return simulate(
        line,
        members,
        start,
        (0, end),
        stops_d=stops_d,
        extra=extra,
        threads=1,
        food_noise=restless,
    )


def _quantities(
    case: Case, line: Timeline, z: Numbers, members: Members, extra: tuple[Action, ...] = ()
) -> dict[str, Numbers]:
    days = days_of(line, HORIZON_DAYS)
    stops = sorted({float(d) for d in days.read_d})
    course = _run(line, members, HORIZON_DAYS, stops, extra, restless=case.restless)
    found = {name: z[UNKNOWNS.index(name)] for name in WATCHED}
    for species, name in enumerate(MILESTONES[:2]):
        found[name] = peak_days(course.daily_means[:, species])[0]
    read = daily_readings(course, days)
    found["settled"] = settled_days(read, SettledLevels()).day
    found["ammonia on the last day"] = read.ammonia[case.until]
    found["nitrite on the last day"] = read.nitrite[case.until]
    return found


@cache
def _prior(seeded: bool, until: int) -> Mapping[str, Numbers]:  # noqa: FBT001 - a key of the cache
    case = Case("ours", seeded=seeded, count=0, until=until)
    tank = blank_tank(seeded=seeded, until=until)
    line = timeline(tank, HORIZON_DAYS + 1)
    target = TankTarget(line, tank.readings, 2, 1)
    z = np.random.default_rng(3).standard_normal((len(target.names), 3000))
    return _quantities(case, line, z, target.members(z))


def _crps(actual: float, days: Numbers) -> float:
    """Of a date, by members; exact for the empirical distribution."""
    capped = np.sort(np.minimum(days, HORIZON_DAYS))
    count = len(capped)
    gaps = float((capped * (2.0 * np.arange(1, count + 1) - count - 1.0)).sum()) / count**2
    return float(np.abs(capped - min(actual, HORIZON_DAYS)).mean()) - gaps
