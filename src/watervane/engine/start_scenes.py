"""A tank set up for one way to start: what is taken out of its plans, and what is put in."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing, population
from watervane.engine.start_marks import Meals
from watervane.planning.start_kinds import (
    BOTTLE_DAYS,
    FEW,
    FEWEST,
    HARDY,
    HARDY_CM,
    LITRES_FOR_EACH,
    PLANTED_FIRST_DAYS,
    SPARE_FOOD,
    Start,
)
from watervane.planning.start_rules import Changing, DoseLevels, Dosing, Once, Rule, dose_levels
from watervane.process.calendar import events_through
from watervane.process.colony_care import seed_action
from watervane.process.day_program import Action
from watervane.process.geometry import tank_geometry
from watervane.process.noise import keyed_normal
from watervane.process.run import Members
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Dose,
    Event,
    Feed,
    Habit,
    Seed,
    SeedAmount,
    Span,
    Tank,
    Treatment,
    WaterChange,
    overruled,
)
from watervane.reference import value, wet_mass_g

Numbers = NDArray[np.float64]
ARRIVE, MEAL_AT = time(12), time(18)
SHARE_EATEN_A_DAY = 0.015  # of the mass of small fish, common practice has 1 to 2 %
PLAN_DAYS = 14
ASSUMED_FOOD_G_PER_L_D = 0.0009  # a modest load, house estimate
LIT_HOURS = 8.0
SEED_HOURS_OUT_OF_WATER = 1.0  # moist, on the way home
PLANNED = (Feed, WaterChange, Dose, AnimalsIn, AnimalsOut, Seed, Treatment)
_Z95 = 1.959964


@dataclass(frozen=True)
class Ground:
    """What every way begins from.

    Parameters
    ----------
    standing
        The members.
    first
        Local day the start begins on.
    last
        Local day the last trial may reach to.
    meals
        The daily food the tank is meant to carry.
    assumed
        Whether nobody told that food.
    given_g
        What the animals present get each day as planned. [g]
    counts
        Animals present, by species.
    """

    standing: Standing
    first: int
    last: int
    meals: Meals
    assumed: bool
    given_g: float
    counts: dict[str, int]

    @property
    def tank(self) -> Tank:
        """As it was known."""
        return self.standing.tank

    @property
    def dose_levels(self) -> DoseLevels:
        """By which ammonia is dosed here."""
        volume = tank_geometry(self.tank)[0]["volume_l"]
        return dose_levels(self.meals.load_mg_n_per_l_d(volume))

    @property
    def planned(self) -> bool:
        """Whether animals or doses are planned from the first day on."""
        calendar = self.standing.calendar
        begins, ends = calendar.bounds_d(self.first)[0], calendar.bounds_d(self.last)[0]
        return any(
            isinstance(event, AnimalsIn | Dose) and begins <= calendar.days(event.at) < ends
            for event in events_through(self.tank, calendar, self.last)
        )

    def at(self, clock: time, after_days: int = 0) -> datetime:
        """A clock time on the first day, or some days later."""
        calendar = self.standing.calendar
        return datetime.combine(calendar.date(self.first + after_days), clock, calendar.zone)


@dataclass(frozen=True)
class Scene:
    """A tank set up for a way.

    Parameters
    ----------
    line
        What is planned in any case.
    rules
        What the keeper follows.
    species, count
        Animals in it while it starts.
    """

    line: Timeline
    rules: tuple[Rule, ...]
    species: tuple[str, ...]
    count: int


def ground_of(standing: Standing, horizon_days: int, after_days: int) -> Ground:
    """Work out what every way begins from."""
    calendar, tank = standing.calendar, standing.tank
    begins = calendar.bounds_d(standing.today)[0]
    first = standing.today if standing.as_of_d <= begins + 1e-9 else standing.today + 1
    counts = {species: n for species, n in population(standing).counts.items() if n}
    meals, given = _planned_meals(standing, first)
    assumed = False
    if tank.normal_food_g_per_d is not None:
        food = Meals(tank.normal_food_g_per_d, tank.normal_food_protein)
    elif given > 0.0:
        food = meals
    else:
        volume = tank_geometry(tank)[0]["volume_l"]
        food = Meals(Span.exact(ASSUMED_FOOD_G_PER_L_D * volume), tank.normal_food_protein)
        assumed = True
    last = first + horizon_days + after_days
    return Ground(standing, first, last, food, assumed, given, counts)


def _planned_meals(standing: Standing, first: int) -> tuple[Meals, float]:
    """The mean day's food over the fortnight ahead."""
    calendar = standing.calendar
    begin, end = calendar.bounds_d(first)[0], calendar.bounds_d(first + PLAN_DAYS)[0]
    found = [
        event
        for event in events_through(standing.tank, calendar, first + PLAN_DAYS)
        if isinstance(event, Feed) and begin <= calendar.days(event.at) < end
    ]
    low = sum(event.mass_g.low for event in found) / PLAN_DAYS
    high = sum(event.mass_g.high for event in found) / PLAN_DAYS
    grams = sum(event.mass_g.centre for event in found)
    protein = sum(e.mass_g.centre * e.protein for e in found) / grams if grams > 0.0 else 0.42
    return Meals(Span(low, high), protein), grams / PLAN_DAYS


def scene_of(start: Start, ground: Ground, seed: SeedAmount | None, members: Members) -> Scene:
    """Set the tank up for a way.

    Parameters
    ----------
    start
        The way.
    ground
        What it begins from.
    seed
        What a seeded way brings in; ``None`` leaves it out.
    members
        Who differ in what a bottle holds and in how plants grow.
    """
    tank = ground.tank
    if start.tended:
        tank = _without_plans(ground)
    if start.planted:
        lit = LIT_HOURS if tank.light_hours == 0 else tank.light_hours
        tank = replace(overruled(tank, "plants"), plants="many", light_hours=lit)
    tank, species, count = _stocked(tank, start, ground)
    line = timeline(tank, ground.last)
    rules: list[Rule] = []
    if start.seeded and seed is not None:
        rules.append(_seeding(seed, line, members))
    if start.bottled:
        rules.append(_bottles(line, members, ground.first))
    if start.planted:
        rules.append(_planting(ground, line, members))
    if start.animals == "lodged":
        moved = float(sum(ground.counts.values()))
        rules.append(Once("lodge", Action(0.0), {0: np.ones(len(members))}, {0: moved}))
    if start.dosed is not None:
        rules.append(Dosing(start.dosed, ground.dose_levels))
    elif start.tended:
        begins = line.calendar.bounds_d(ground.first)[0]
        room = line.setting("room_temperature_c", begins, 20.0)
        warm = max(line.setting("heater_set_point_c", begins, room), room)
        waits = PLANTED_FIRST_DAYS if start.planted and start.animals == "few" else 0
        rules.append(Changing(warm, from_day=waits))
    return Scene(line, tuple(rules), species, count)


def _without_plans(ground: Ground) -> Tank:
    """The tank with nothing planned from the first day on but what goes on by itself."""
    begins = ground.at(time())
    day = begins.date()
    kept: tuple[Event, ...] = tuple(
        e for e in ground.tank.events if e.at < begins or not isinstance(e, PLANNED)
    )
    habits = []
    for habit in ground.tank.habits:
        until = day - timedelta(days=1)
        if not isinstance(habit.template, PLANNED):
            habits.append(habit)
        elif habit.start <= until:
            habits.append(replace(habit, until=min(until, habit.until or until)))
    return replace(ground.tank, events=kept, habits=tuple(habits))


def _stocked(tank: Tank, start: Start, ground: Ground) -> tuple[Tank, tuple[str, ...], int]:
    """Animals in or out, and what they are fed."""
    present = tuple(ground.counts)
    if start.animals == "few":
        wait = PLANTED_FIRST_DAYS if start.planted else 0
        eaten = SHARE_EATEN_A_DAY * wet_mass_g(HARDY, HARDY_CM)
        wanted = round(FEW * ground.meals.grams.centre / eaten)
        volume = tank_geometry(tank)[0]["volume_l"]
        most = max(FEWEST, round(volume / LITRES_FOR_EACH))
        count = min(max(2, wanted), most)
        grams = count * eaten
        arriving = AnimalsIn(
            at=ground.at(ARRIVE, wait), species=HARDY, count=count, length_cm=HARDY_CM
        )
        fed = _fed(replace(tank, events=(*tank.events, arriving)), ground, grams, wait)
        return fed, (HARDY,), count
    if start.animals == "present" and start.tended:
        fed = _fed(tank, ground, SPARE_FOOD * ground.given_g, 0)
        return fed, present, sum(ground.counts.values())
    if start.animals == "present":
        end_d = ground.standing.calendar.bounds_d(ground.last)[0]
        there = population(ground.standing, tank, end_d).counts
        species = tuple(dict.fromkeys((*present, *(s for s, n in there.items() if n))))
        return tank, species, sum(there.values())
    if start.animals == "lodged":
        leaving = tuple(
            AnimalsOut(at=ground.at(time()), species=species, count=n)
            for species, n in ground.counts.items()
        )
        return replace(tank, events=(*tank.events, *leaving)), present, 0
    return tank, (), 0


def _fed(tank: Tank, ground: Ground, grams: float, wait: int) -> Tank:
    at = ground.at(MEAL_AT, wait)
    meal = Feed(at=at, mass_g=Span.exact(grams), protein=ground.meals.protein)
    daily = Habit(template=meal, every_days=1, start=at.date())
    return replace(tank, habits=(*tank.habits, daily))


def _seeding(seed: SeedAmount, line: Timeline, members: Members) -> Once:
    """One load of fresh material from a settled tank, carried home moist."""
    event = Seed(
        at=line.calendar.moment(0.0),
        source=seed.source,
        kind=seed.kind if seed.source == "media" else "sponge",
        volume_l=seed.volume_l,
        hours_out_of_water=SEED_HOURS_OUT_OF_WATER,
    )
    action = seed_action(0.0, event, line.geometry["volume_l"])
    return Once("seed", action, {0: np.ones(len(members))}, {0: seed.volume_l})


def _bottles(line: Timeline, members: Members, first: int) -> Once:
    """Doses out of bottles of which nobody knows how much is alive.

    All doses of one bottle hold the same share of the colony this tank's filter would grow.
    """
    geometry = line.geometry_at(line.calendar.bounds_d(first)[0])
    area = geometry["filter_area_m2"] / geometry["volume_l"]
    action = Action(0.0, habitats={"seed_area_per_l": [0.0, area, 0.0]})
    shares = {
        bottle: bottle_share(keyed_normal(members.seed, members.numbers, bottle, "start bottle"))
        for bottle in set(BOTTLE_DAYS.values())
    }
    times = {day: shares[bottle] for day, bottle in BOTTLE_DAYS.items()}
    return Once("bottle", action, times, dict.fromkeys(BOTTLE_DAYS, 1.0))


def bottle_share(z: Numbers) -> Numbers:
    """Live share of a settled colony in one dose, from standard normal numbers."""
    row = value("seed_bottle_share")
    low, high = row.low or row.value, row.high or row.value
    up, down = math.log(high / row.value), math.log(row.value / low)
    return np.asarray(row.value * np.exp(np.where(z < 0.0, down, up) / _Z95 * z))


def _planting(ground: Ground, line: Timeline, members: Members) -> Once:
    """Plants enough for half of what such a tank can hold, less what grows in it already."""
    begins = line.calendar.bounds_d(ground.first)[0]
    grown = timeline(ground.tank, ground.first).geometry_at(begins)
    before = grown["plant_ceiling_mg_n_per_l"]
    more = 0.5 * max(line.geometry["plant_ceiling_mg_n_per_l"] - before, 0.0)
    action = Action(0.0, vectors={"add": {"plant_nitrogen": more}})
    return Once("plant", action, {0: members.parameters["plant_multiplier"]}, {0: 1.0})
