"""A tank's log as actions in time and as the surroundings that hold between them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import time

import numpy as np

from watervane.process.calendar import Calendar, events_through
from watervane.process.colony_care import (
    clean_action,
    media_moved_action,
    seed_action,
    treatment_action,
)
from watervane.process.day_grid import Grid
from watervane.process.day_points import CUT, DONE, STOP, TINY_D, Point, apart
from watervane.process.day_program import Action, Rows, empty_rows, write_action
from watervane.process.doses import dose_action
from watervane.process.equilibria import MG_CO2_PER_MMOL
from watervane.process.fits import Fit, fits_of
from watervane.process.geometry import tank_geometry
from watervane.process.metabolism import FOOD_MG_O2_PER_G
from watervane.process.population import Breath, Population
from watervane.process.poured import change_action, top_off_action
from watervane.process.state import WATER
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Finding,
    MediaMoved,
    Note,
    Outage,
    Seed,
    Span,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.reference import value

NITROGEN_PER_PROTEIN = 0.16  # timmons_ebeling2007
LIGHTS_ON = time(10)
TOP_OFF_AT = time(9)
UNSEEN_WEEKDAY, UNSEEN_AT = 3, time(4)  # of each week since filling
UNHEATED_C = -50.0
INJECTED_MG_PER_L = 20.0  # usual for plants: common practice, no source
STANDSTILL_GRACE_D = value("no_flow_grace_h").value / 24.0


@dataclass
class Timeline:
    """One tank made ready for the model.

    Parameters
    ----------
    calendar, geometry, findings
        See `Calendar` and `tank_geometry`; the geometry is that of the day of filling.
    actions
        In time order.
    fits
        What bed, media and plants are from later moments on, in time order.
    """

    tank: Tank
    calendar: Calendar
    geometry: dict[str, float]
    findings: list[Finding]
    actions: list[Action]
    breath: list[Breath]
    outages: list[tuple[float, float, str]] = field(default_factory=list)
    changes: list[tuple[float, dict[str, float]]] = field(default_factory=list)
    fits: list[Fit] = field(default_factory=list)

    def geometry_at(self, at_d: float) -> dict[str, float]:
        """What the tank is made of at a moment; new surface grows over at midnights."""
        if not self.fits or at_d < self.fits[0].from_d - TINY_D:
            return self.geometry
        fit = next(each for each in reversed(self.fits) if each.from_d <= at_d + TINY_D)
        day = (self.calendar.moment(at_d + TINY_D).date() - self.calendar.filled).days
        return fit.at(self.calendar.bounds_d(day)[0])

    def refitted_d(self, day: int) -> list[float]:
        """Moments of a day from which other parts hold. [d]"""
        begin, end = self.calendar.bounds_d(day)
        return [each.from_d for each in self.fits if begin < each.from_d < end]

    def animals_at(self, at_d: float) -> int:
        """Animals present at a moment."""
        return self._breath_at(at_d).count

    def _breath_at(self, at_d: float) -> Breath:
        place = bisect_right([b.from_d for b in self.breath], at_d + TINY_D)
        return self.breath[place - 1]

    def setting(self, name: str, at_d: float, default: float) -> float:
        """A machine's setting at a moment, the latest change counted."""
        told = getattr(self.tank, name)
        result = default if told is None else float(told)
        for when, changed in self.changes:
            if when <= at_d + TINY_D and name in changed:
                result = changed[name]
        return result

    def _off(self, machine: str, at_d: float) -> bool:
        return any(
            start - TINY_D <= at_d < end - TINY_D and what in ("all", machine)
            for start, end, what in self.outages
        )

    def _stale(self, at_d: float) -> bool:
        """Whether the filter has stood still for longer than its colony bears."""
        return any(
            start + STANDSTILL_GRACE_D - TINY_D <= at_d < end - TINY_D
            for start, end in self._standstills()
        )

    def _standstills(self) -> list[tuple[float, float]]:
        """Stretches without flow through the filter; outages that touch are one."""
        found: list[tuple[float, float]] = []
        for start, end, what in sorted(self.outages):
            if what not in ("all", "filter"):
                continue
            if found and start <= found[-1][1] + TINY_D:
                found[-1] = (found[-1][0], max(end, found[-1][1]))
            else:
                found.append((start, end))
        return found

    def _forcing(self, start_d: float, middle_d: float, day: int) -> dict[str, float]:
        breath = self._breath_at(start_d)
        geometry = self.geometry
        share = geometry["gas_share_still"]
        running = not self._off("filter", middle_d)
        share += geometry["gas_share_filter"] * running
        if not self._off("air", middle_d):
            told = self.tank.air_flow_l_per_h or 0.0
            share += geometry["gas_share_per_l_per_h"] * self.setting(
                "air_flow_l_per_h", middle_d, told
            )
        hours = self.setting("light_hours", middle_d, 8.0)
        on = self.calendar.at_clock_d(day, LIGHTS_ON)
        lit = on <= middle_d < on + hours / 24.0 and not self._off("light", middle_d)
        room = self.setting("room_temperature_c", middle_d, 20.0)
        return {
            "filter_running": float(running),
            "filter_stale": float(self._stale(middle_d)),
            "heater_running": self._heater_share(middle_d),
            "gas_transfer_share": share,
            "light": 24.0 / hours if lit and hours > 0 else 0.0,
            "co2_held_mmol_per_l": self._co2_held_mmol_per_l() if lit else 0.0,
            "room_temperature_c": room,
            "set_point_c": self.setting("heater_set_point_c", middle_d, UNHEATED_C),
            "respiration_mg_o2_per_mg_n_d": breath.respiration_mg_o2_per_mg_n_d,
            "fasting_excretion_per_d": breath.fasting_excretion_per_d,
        }

    def _heater_share(self, at_d: float) -> float:
        """Of the strongest heater the tank ever has: what the one in force can give."""
        if self._off("heater", at_d):
            return 0.0
        strongest = self.geometry["heater_power_w"]
        return self.setting("heater_power_w", at_d, strongest) / strongest if strongest else 1.0

    def _co2_held_mmol_per_l(self) -> float:
        """What an injection by day holds, by what its keeper tells or by what is usual."""
        if not self.tank.co2_injected:
            return 0.0
        told = self.tank.co2_target_mg_per_l
        return (INJECTED_MG_PER_L if told is None else told) / MG_CO2_PER_MMOL

    def day_rows(
        self, day: int, grid: Grid, stops_d: tuple[float, ...] = (), extra: tuple[Action, ...] = ()
    ) -> tuple[Rows, np.ndarray]:
        """Rows of one local day.

        Parameters
        ----------
        day
            0 is the fill date.
        grid
            What the day is cut into, before events cut it further.
        stops_d
            Moments a report is wanted at, before anything done at the same moment.
        extra
            Actions besides the log's.

        Returns
        -------
        rows, starts_d
            The rows and the moment each begins.
        """
        begin, end = self.calendar.bounds_d(day)
        actions = [a for a in (*self.actions, *extra) if begin <= a.at_d < end]
        points: list[Point] = [
            (begin + (end - begin) * k / grid.steps, CUT, None) for k in range(grid.steps)
        ]
        breaks = self._breaks(day)
        points += [(b, CUT, None) for b in breaks if begin < b < end]
        points += [(s, STOP, None) for s in stops_d if begin <= s < end]
        points += [(a.at_d, DONE, a) for a in actions]
        step = (end - begin) / grid.steps
        points += [
            (a.at_d + share * step, CUT, None)
            for a in actions
            for share in (grid.after_a_dose if _stirs(a) else grid.after_others)
            if a.at_d + share * step < end
        ]
        points = apart(sorted(points, key=lambda p: (p[0], p[1])))
        starts = np.array([p[0] for p in points])
        rows = empty_rows(len(points))
        lengths = np.diff(np.append(starts, end))
        rows["step_d"][:, 0, 0] = lengths
        middles = starts + 0.5 * lengths
        for alike in self._alike(breaks, starts, middles):
            held = self._forcing(starts[alike[0]], middles[alike[0]], day)
            for name, each in held.items():
                rows[name][alike] = each
        for i, (_, _, action) in enumerate(points):
            if action is not None:
                write_action(rows, i, action)
        return rows, starts

    def _alike(
        self, breaks: list[float], starts: np.ndarray, middles: np.ndarray
    ) -> Iterable[list[int]]:
        """Rows between which nothing of the surroundings changes; light goes on at the first."""
        hours = {changed["light_hours"] for _, changed in self.changes if "light_hours" in changed}
        at = np.array([*breaks, *(breaks[0] + each / 24.0 for each in hours)])
        edges = np.sort(np.concatenate([at - TINY_D, at, at + TINY_D]))
        kind = np.searchsorted(edges, middles, side="right")
        breath = np.searchsorted([b.from_d for b in self.breath], starts + TINY_D, side="right")
        rows: dict[tuple[int, int], list[int]] = {}
        for row, held in enumerate(zip(kind.tolist(), breath.tolist(), strict=True)):
            rows.setdefault(held, []).append(row)
        return rows.values()

    def _breaks(self, day: int) -> list[float]:
        on = self.calendar.at_clock_d(day, LIGHTS_ON)
        hours = self.setting("light_hours", on, 8.0)
        ends = [moment for start, end, _ in self.outages for moment in (start, end)]
        ends += [start + STANDSTILL_GRACE_D for start, _ in self._standstills()]
        return [on, on + hours / 24.0, *ends, *(when for when, _ in self.changes)]

    def first_meal_d(self, day: int) -> float | None:
        """Moment of a day's first meal, if it has one. [d]"""
        begin, end = self.calendar.bounds_d(day)
        meals = [
            a.at_d
            for a in self.actions
            if begin <= a.at_d < end and a.scalars.get("food_mg_n_per_l", 0.0) > 0.0
        ]
        return min(meals) if meals else None


def meal_action(
    at_d: float, mass_g: Span, protein: float, volume_l: float, *, mouths: bool = True
) -> Action:
    """Food as nitrogen and oxygen demand per litre; a range becomes a log spread."""
    grams = mass_g.centre / volume_l
    nitrogen = 1000.0 * grams * protein * NITROGEN_PER_PROTEIN
    spread = 0.0
    if mass_g.low > 0:
        spread = float(np.log(mass_g.high / mass_g.low)) / (2.0 * 1.96)
    return Action(
        at_d,
        {
            "food_mg_n_per_l": nitrogen,
            "food_log_spread": spread,
            "food_mg_o2_per_mg_n": FOOD_MG_O2_PER_G / (1000.0 * protein * NITROGEN_PER_PROTEIN),
            "mouths": float(mouths),
        },
    )


def timeline(tank: Tank, last_day: int) -> Timeline:
    """Make a tank ready up to and including a local day."""
    calendar = Calendar(tank.filled, tank.time_zone)
    geometry, findings = tank_geometry(tank)
    refits = list(fits_of(tank, calendar, geometry))
    fits, changed = [fit for fit, _ in refits], [action for _, action in refits]
    line = Timeline(tank, calendar, geometry, findings, changed, [Breath(-1.0)], fits=fits)
    animals = Population(geometry["volume_l"], own=tank.own_animals)
    for event in events_through(tank, calendar, last_day):
        _take_in(line, animals, event)
    line.breath += animals.history
    line.actions += _unseen_deaths(line, last_day)
    if not any(isinstance(e, TopOff) for e in tank.events) and not any(
        isinstance(h.template, TopOff) for h in tank.habits
    ):
        findings.append(Finding("assumed-level-kept", "info", {}))
        for day in range(1, last_day + 1):
            line.actions.append(
                Action(
                    calendar.at_clock_d(day, TOP_OFF_AT),
                    {"fill_to_mark": 1.0, "poured_temperature_c": 20.0},
                )
            )
    line.actions.sort(key=lambda a: a.at_d)
    return line


def _unseen_deaths(line: Timeline, last_day: int) -> list[Action]:
    """Once a week one animal of those present may die unseen; members differ in whether it does.

    Breath and appetite stay those of the animals the keeper counts.
    """
    found = []
    for day in range(UNSEEN_WEEKDAY, last_day + 1, 7):
        at_d = line.calendar.at_clock_d(day, UNSEEN_AT)
        if count := line.animals_at(at_d):
            found.append(Action(at_d, {"unseen_share": 1.0 / count}))
    return found


def _take_in(line: Timeline, animals: Population, event: Event) -> None:
    at_d = line.calendar.days(event.at)
    volume = line.geometry["volume_l"]
    if isinstance(event, AnimalsIn | AnimalsOut | Died):
        line.actions.append(animals.record(at_d, event))
    elif isinstance(event, Feed):
        mouths = any(animals.counts.values())
        line.actions.append(meal_action(at_d, event.mass_g, event.protein, volume, mouths=mouths))
    elif isinstance(event, WaterChange):
        line.actions.append(change_action(at_d, event, line.tank.source_water))
    elif isinstance(event, TopOff):
        line.actions.append(top_off_action(at_d, event, volume))
    elif isinstance(event, Outage):
        line.outages.append((at_d, at_d + event.hours / 24.0, event.what))
    elif isinstance(event, EquipmentChange):
        if event.changes:
            line.changes.append((at_d, dict(event.changes)))
    elif not isinstance(event, Note):
        line.actions.append(_colony_action(at_d, event, line.geometry_at(at_d)))


def _colony_action(
    at_d: float, event: Dose | Seed | Clean | MediaMoved | Treatment, geometry: dict[str, float]
) -> Action:
    volume_l = geometry["volume_l"]
    if isinstance(event, Dose):
        return dose_action(at_d, event, volume_l)
    if isinstance(event, Seed):
        return seed_action(at_d, event, volume_l, geometry["filter_area_m2"])
    if isinstance(event, Clean):
        return clean_action(at_d, event)
    if isinstance(event, MediaMoved):
        return media_moved_action(at_d, event)
    return treatment_action(at_d, event)


def _stirs(action: Action) -> bool:
    """Whether an action changes what is dissolved at once: a strong film answers in minutes."""
    told = action.scalars
    added = any(v for name, v in action.vectors.get("add", {}).items() if name in WATER)
    return (
        added
        or told.get("volume_keep", 1.0) < 0.98
        or told.get("ammonia_target_mg_n_per_l", -1.0) > 0.0
    )
