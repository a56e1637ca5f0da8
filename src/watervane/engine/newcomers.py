"""Animals that may join a tank, with the food they bring along."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from watervane.engine.futures import Standing, population
from watervane.process.calendar import Calendar
from watervane.process.day_program import Action
from watervane.process.food_need import food_need_g_per_d, mass_fed_by_g
from watervane.process.geometry import tank_geometry
from watervane.process.timeline import NITROGEN_PER_PROTEIN, Timeline, meal_action
from watervane.records import (
    AnimalsIn,
    Dose,
    Feed,
    Finding,
    Habit,
    Newcomers,
    Span,
    Tank,
)
from watervane.reference import animal_form, strangers_among, substance, wet_mass_g

ARRIVE_AT, MEAL_AT = time(12), time(18)
LAST_DOSE_DAYS = 2  # before animals come: what was dosed is turned over
USUAL_C = 25.0
USUAL_SPECIES, USUAL_LENGTH_CM = "Danio rerio", 4.0


@dataclass(frozen=True, slots=True)
class Arrival:
    """Animals that join on a day, all of one mass, and what they are fed together."""

    day: int
    species: str
    count: int
    mass_g: float
    food_g_per_d: float


def newcomers(
    standing: Standing, species: str | None = None, length_cm: float | None = None
) -> Newcomers:
    """Who is asked about; left out: like those present that weigh most, else a usual small fish."""
    warm = standing.tank.heater_set_point_c or USUAL_C
    named = species is not None
    if species is None:
        stock = population(standing)
        present = [name for name, count in stock.counts.items() if count]
        if present:
            species = max(present, key=lambda name: stock.counts[name] * stock.masses_g[name])
            mass = stock.masses_g[species]
            return Newcomers(species, None, mass, food_need_g_per_d(mass, warm), named)
        species, length_cm = USUAL_SPECIES, length_cm or USUAL_LENGTH_CM
    own = standing.tank.own_animals
    length = animal_form(species, own).typical_length_cm if length_cm is None else length_cm
    mass = wet_mass_g(species, length, own)
    return Newcomers(species, length, mass, food_need_g_per_d(mass, warm), named)


def strangers(who: Iterable[Newcomers], tank: Tank) -> tuple[Finding, ...]:
    """A caution for each name no table knows: its mass is guessed and its limits the strictest."""
    unknown = strangers_among((each.species for each in who), tank.own_animals)
    return tuple(Finding("newcomer-unknown", "caution", {"name": name}) for name in unknown)


def fed_by(who: Newcomers, day: int, food_g_per_d: float) -> Arrival | None:
    """As many animals as an amount of food keeps: whole animals, a little lighter or heavier."""
    if food_g_per_d <= 0.0:
        return None
    count = max(round(food_g_per_d / who.food_g_per_d.centre), 1)
    share = food_g_per_d / count / who.food_g_per_d.centre
    mass = who.mass_g * mass_fed_by_g(share) / mass_fed_by_g(1.0)
    return Arrival(day, who.species, count, mass, food_g_per_d)


def joined(tank: Tank, calendar: Calendar, arrivals: Iterable[Arrival]) -> Tank:
    """The tank with animals joining at noon of their days."""
    events = [
        AnimalsIn(
            at=_noon(calendar, each.day),
            # Apart from their kind, so that their own mass is kept.
            species=f"{each.species} (day {each.day})",
            count=each.count,
            mass_g=each.mass_g,
        )
        for each in arrivals
    ]
    return replace(tank, events=(*tank.events, *events)) if events else tank


def meals_of(
    tank: Tank,
    calendar: Calendar,
    arrivals: Sequence[Arrival],
    days: tuple[int, int],
) -> list[Action]:
    """One more meal a day for those that have joined, from the evening of their arrival."""
    found = []
    protein = protein_of_food(tank)
    volume_l = tank_geometry(tank)[0]["volume_l"]
    for day in range(*days):
        grams = sum(each.food_g_per_d for each in arrivals if each.day <= day)
        if grams > 0.0:
            at_d = calendar.at_clock_d(day, MEAL_AT)
            found.append(meal_action(at_d, Span.exact(grams), protein, volume_l))
    return found


def without_late_doses(tank: Tank, calendar: Calendar, day: int, as_of: datetime) -> Tank:
    """The tank with no more ammonia dosed in the last days before animals come, and after."""
    last = _noon(calendar, day) - timedelta(days=LAST_DOSE_DAYS)

    def late(event: object) -> bool:
        return isinstance(event, Dose) and event.at > max(last, as_of) and _is_ammonia(event)

    habits: list[Habit] = []
    for habit in tank.habits:
        template = habit.template
        if isinstance(template, Dose) and _is_ammonia(template):
            end = max(last, as_of).date()
            end = end if habit.until is None else min(habit.until, end)
            habits.append(replace(habit, until=end))
        else:
            habits.append(habit)
    return replace(tank, events=tuple(e for e in tank.events if not late(e)), habits=tuple(habits))


def planned_food_g_per_d(line: Timeline, tank: Tank, day: int, days: int = 14) -> float:
    """Mean of the food planned from a day on. [g/d]"""
    begin, end = line.calendar.bounds_d(day)[0], line.calendar.bounds_d(day + days)[0]
    nitrogen = sum(
        a.scalars.get("food_mg_n_per_l", 0.0) for a in line.actions if begin <= a.at_d < end
    )
    of_a_gram = 1000.0 * protein_of_food(tank) * NITROGEN_PER_PROTEIN
    return nitrogen * line.geometry["volume_l"] / of_a_gram / days


def protein_of_food(tank: Tank) -> float:
    """Protein of the food in use: that of the first meal told, else of the normal food. [-]"""
    meals = [h.template for h in tank.habits if isinstance(h.template, Feed)]
    meals += [e for e in tank.events if isinstance(e, Feed) and e.mass_g.centre > 0]
    return meals[0].protein if meals else tank.normal_food_protein


def _is_ammonia(event: Dose) -> bool:
    return substance(event.substance).tan_mol > 0


def _noon(calendar: Calendar, day: int) -> datetime:
    return datetime.combine(calendar.date(day), ARRIVE_AT, calendar.zone)
