"""Members run for a year under several routines side by side, all under the same luck."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.engine.kept_course import chosen_course, one_after_another
from watervane.planning.returning import conductivity_of
from watervane.planning.water_of_state import water_of
from watervane.process.calendar import Calendar
from watervane.process.daily_noise import DailyNoise
from watervane.process.day_program import Action
from watervane.process.run import Course, Members, chosen_state, simulate
from watervane.process.state import WATER, TankState
from watervane.process.tending import Deed, after_deeds
from watervane.process.timeline import Timeline
from watervane.records import EquipmentChange, Habit, Tank, TopOff, WaterChange

Numbers = NDArray[np.float64]
WEEK_D, WEEKS = 7, 52
LOOKS_AT = (0.4, 0.75)  # of a day: just before the light comes on, and in its evening
WARM_MONTHS_D, ROOM_RISE_K = 92, 5.0  # house estimate: a room in summer without cooling
USUAL_ROOM_C = 20.0
NORTHERN, SOUTHERN = 6, 12  # month in which the warm season begins


@dataclass(frozen=True)
class Lane:
    """One routine: a share every so many days, topped off weekly, food times so much.

    Parameters
    ----------
    share, every_days
        Of the changes; a multiple of a week. Zero for none.
    pure
        Whether it is topped off with pure water.
    food
        Times what is planned.
    made
        One of so many changes is really made.
    """

    share: float
    every_days: int = 28
    pure: bool = False
    food: float = 1.0
    made: int = 1

    def due(self, week: int) -> bool:
        """Whether the water is changed at the turn to a week."""
        weeks = self.every_days // WEEK_D
        return self.share > 0.0 and week > 0 and week % (weeks * self.made) == 0


@dataclass(frozen=True)
class LaneRan:
    """What one routine made of the members.

    Parameters
    ----------
    course
        Looked at twice a day.
    before, conductivity
        Water and conductivity at the turn of each week, before anything was done, shape
        (weeks, members). [uS/cm]
    evaporated
        Share of the tank's water that was gone at the turn of each week, shape (weeks, members).
    """

    lane: Lane
    course: Course
    conductivity: Numbers
    evaporated: Numbers


def without_changes(tank: Tank, as_of: datetime) -> Tank:
    """The tank without its own plan of changes and topping off: routines take their place."""
    kept = tuple(h for h in tank.habits if not isinstance(h.template, WaterChange | TopOff))
    ended = tuple(
        replace(h, until=min(h.until or as_of.date(), as_of.date()))
        for h in tank.habits
        if isinstance(h.template, WaterChange | TopOff) and h.start <= as_of.date()
    )
    events = tuple(
        e for e in tank.events if not (isinstance(e, WaterChange | TopOff) and e.at > as_of)
    )
    # A plan to top off in a far year keeps the model from topping off by itself.
    never = Habit(
        template=TopOff(at=as_of, volume_l=0.0), every_days=1, start=as_of.date() + timedelta(9000)
    )
    return replace(tank, habits=(*kept, *ended, never), events=events)


def with_warm_months(tank: Tank, calendar: Calendar, first: int, days: int) -> tuple[Tank, int]:
    """The tank with a warmer room in its summer, and the month that begins in."""
    month = warm_month(calendar, first)
    room = USUAL_ROOM_C if tank.room_temperature_c is None else tank.room_temperature_c
    changes = []
    for day in range(first, first + days):
        at = calendar.date(day)
        begins = datetime.combine(at, time(), calendar.zone)
        if is_warm(at.month, month) != is_warm((at - timedelta(1)).month, month) or day == first:
            rise = ROOM_RISE_K if is_warm(at.month, month) else 0.0
            changes.append(EquipmentChange(at=begins, changes={"room_temperature_c": room + rise}))
    return replace(tank, events=(*tank.events, *changes)), month


def is_warm(month: int, first_month: int) -> bool:
    """Whether a month is one of three from the first on."""
    return (month - first_month) % 12 < 3


def warm_month(calendar: Calendar, day: int) -> int:
    """June; December where clocks are forward in January, as only the south does it."""
    year = calendar.date(day).year
    january, july = (datetime(year, m, 15, tzinfo=calendar.zone) for m in (1, 7))
    return SOUTHERN if (january.dst() or timedelta()) > (july.dst() or timedelta()) else NORTHERN


def run_lanes(
    line: Timeline,
    members: Members,
    state: TankState,
    first: int,
    lanes: Sequence[Lane],
    *,
    weeks: int = WEEKS,
    progress: Callable[[float], None] | None = None,
) -> list[LaneRan]:
    """Run the members under every lane for some weeks.

    Parameters
    ----------
    line
        What is planned in any case, without changes of its own; see `without_changes`.
    members, state
        At the start of the first day.
    first
        Local day.
    lanes
        Run together: they share the rows of each day.
    weeks
        How many.
    progress
        Called with the share done.
    """
    wide, state, places = side_by_side(members, state, lanes)
    noise = DailyNoise(wide.seed, wide.numbers, wide.told, first + weeks * WEEK_D)
    parts, salts, gone = [], [], []
    for week in range(weeks):
        day = first + week * WEEK_D
        salts.append(conductivity_of(water_of(state)))
        gone.append(1.0 - np.asarray(state.volume_ratio[0]))
        state = after_deeds(wide, state, day, noise, list(_deeds(lanes, places, week)))
        stops = [s for d in range(day, day + WEEK_D) for s in _looks(line.calendar, d)]
        part = simulate(
            line, wide, state, (day, day + WEEK_D), stops_d=stops, accuracy="screening", threads=1
        )
        parts.append(part)
        state = part.final
        if progress is not None:
            progress((week + 1) / weeks)
    course = one_after_another(parts)
    return [
        LaneRan(lane, chosen_course(course, own), np.stack(salts)[:, own], np.stack(gone)[:, own])
        for lane, own in zip(lanes, places, strict=True)
    ]


def side_by_side(
    members: Members, state: TankState, lanes: Sequence[Lane]
) -> tuple[Members, TankState, list[NDArray[np.int64]]]:
    """Members once for each lane, fed as it says, and the places of each lane among them."""
    count = len(members)
    everyone = np.tile(np.arange(count), len(lanes))
    wide = members.chosen(everyone)
    food = np.repeat([lane.food for lane in lanes], count)
    fed = {**wide.parameters, "food_multiplier": wide.parameters["food_multiplier"] * food}
    places = [np.arange(count) + k * count for k in range(len(lanes))]
    return replace(wide, parameters=fed), chosen_state(state, everyone), places


def _deeds(lanes: Sequence[Lane], places: Sequence[NDArray[np.int64]], week: int) -> Iterator[Deed]:
    """Top off in every lane, then change in those where it is due."""
    count = sum(len(own) for own in places)
    pure = np.zeros(count, dtype=bool)
    shares = np.zeros(count)
    for lane, own in zip(lanes, places, strict=True):
        pure[own] = lane.pure
        shares[own] = lane.share if lane.due(week) else 0.0
    if week:
        yield Deed(_filled(pure=1.0), pure)
        yield Deed(_filled(pure=0.0), ~pure)
    for share in np.unique(shares[shares > 0.0]):
        yield Deed(change_action(float(share)), shares == share)


def _filled(pure: float) -> Action:
    return Action(0.0, {"fill_to_mark": 1.0, "pure": pure, "poured_temperature_c": USUAL_ROOM_C})


def change_action(
    share: float, tap_share: float = 1.0, temperature_c: float = USUAL_ROOM_C
) -> Action:
    """A change with each member's own tap water, blended with pure water. [degC]"""
    kept = 1.0 - share
    scalars = {
        "volume_keep": kept,
        "fill_to_mark": 1.0,
        "pure": 1.0 - tap_share,
        "conditioned": 1.0,
        "poured_temperature_c": temperature_c,
    }
    return Action(0.0, scalars, {"keep": dict.fromkeys(WATER, kept)})


def _looks(calendar: Calendar, day: int) -> list[float]:
    begin, end = calendar.bounds_d(day)
    return [begin + share * (end - begin) for share in LOOKS_AT]
