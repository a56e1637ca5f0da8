"""Whose limits a forecast is held against, and from when until when."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from watervane.forecast.harm import LONGEST_EXPOSURE_D, Held
from watervane.limits import limits_in
from watervane.process.calendar import Calendar, events_through
from watervane.records import UNNAMED, AnimalsIn, AnimalsOut, Died, Feed, Finding, Tank


@dataclass(frozen=True, slots=True)
class Stay:
    """Animals of one name, and from when until when there are any in the tank. [d]"""

    animal: str
    from_d: float
    until_d: float = math.inf


@dataclass(frozen=True, slots=True)
class HeldLimits:
    """What a forecast is held against, and what had to be assumed for it."""

    held: tuple[Held, ...]
    findings: tuple[Finding, ...] = ()


def held_limits(tank: Tank, calendar: Calendar, as_of_d: float, until_d: float) -> HeldLimits:
    """Limits that hold from a moment to another.

    Parameters
    ----------
    tank
        As it was known, with plans.
    calendar
        Its own.
    as_of_d, until_d
        The moments. [d]

    Returns
    -------
    HeldLimits
        Those of the animals present, and of those planned from the day they come. A tank that is
        fed but tells of no animals is held, from its first meal on, to the limits of animals nobody
        named, see `unnamed_since`; one without animals and without food to none, as nobody is
        there to be harmed.
    """
    last_day = (calendar.moment(until_d).date() - calendar.filled).days + 1
    stays = list(stays_of(tank, calendar, last_day))
    here = [stay for stay in stays if stay.until_d > as_of_d and stay.from_d < until_d]
    if stays:
        findings = () if here else (Finding("limits-no-animals", "info", {}),)
        return HeldLimits(tuple(_together(tank, here, as_of_d)), findings)
    since_d = unnamed_since(tank, calendar, last_day)
    if since_d is None:
        return HeldLimits((), (Finding("limits-no-animals", "info", {}),))
    there = [Stay(UNNAMED, since_d)]
    caution = Finding("limits-unnamed-animals", "caution", {})
    return HeldLimits(tuple(_together(tank, there, as_of_d)), (caution,))


def unnamed_since(tank: Tank, calendar: Calendar, last_day: int) -> float | None:
    """Since when a tank feeds animals its file never names; ``None`` where it does not. [d]

    Food tells of somebody who eats it, unless the file names animals, be they gone or only
    planned: then food before they come feeds the colonies. A fast day feeds nobody.

    Parameters
    ----------
    tank
        As it was known, with plans.
    calendar
        Its own.
    last_day
        Local day up to which food is looked for.
    """
    templates = (habit.template for habit in tank.habits)
    if any(isinstance(e, AnimalsIn | AnimalsOut | Died) for e in (*tank.events, *templates)):
        return None
    end_d = calendar.bounds_d(last_day)[1]
    meals = (
        calendar.days(event.at)
        for event in events_through(tank, calendar, last_day)
        if isinstance(event, Feed) and event.mass_g.high > 0.0
    )
    first = min(meals, default=None)
    return first if first is not None and first < end_d else None


def stays_of(tank: Tank, calendar: Calendar, last_day: int) -> Iterator[Stay]:
    """When there are animals of each name in the tank, by its log and its plans."""
    counts: dict[str, int] = {}
    since: dict[str, float] = {}
    for event in events_through(tank, calendar, last_day):
        if not isinstance(event, AnimalsIn | AnimalsOut | Died):
            continue
        name, at_d = event.species, calendar.days(event.at)
        before = counts.get(name, 0)
        change = event.count if isinstance(event, AnimalsIn) else -event.count
        counts[name] = max(before + change, 0)
        if not before and counts[name]:
            since[name] = at_d
        elif before and not counts[name]:
            yield Stay(name, since[name], at_d)
    for name, count in counts.items():
        if count:
            yield Stay(name, since[name])


def _together(tank: Tank, stays: list[Stay], as_of_d: float) -> Iterator[Held]:
    """Those who come and go together are held together; long past arrivals are all alike."""
    groups: dict[tuple[float, float], list[str]] = {}
    for stay in stays:
        begin = stay.from_d if stay.from_d > as_of_d - LONGEST_EXPOSURE_D else -math.inf
        groups.setdefault((begin, stay.until_d), []).append(stay.animal)
    for (begin, end), animals in groups.items():
        yield Held(limits_in(tank, tuple(animals)), begin, end)
