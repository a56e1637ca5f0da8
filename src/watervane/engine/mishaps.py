"""Mishaps as changes of what is planned: the tank's own records under another future."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from watervane.planning.carrying_media import survival
from watervane.process.calendar import Calendar, events_through
from watervane.process.colony_care import keeping_action
from watervane.process.day_program import Action
from watervane.process.food_need import food_need_g_per_d
from watervane.process.population import Population
from watervane.process.timeline import Timeline
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    EquipmentChange,
    Event,
    Feed,
    Mishap,
    Outage,
    Span,
    Tank,
    Treatment,
    WaterChange,
    as_fitted,
    overruled,
)
from watervane.records.mishap_sizes import MISHAP_SIZES

NEIGHBOUR_FEEDS = 3.0  # times the planned meal, common practice has it no better
HEAT_K = 8.0
STUCK_C = 45.0  # a thermostat that no longer opens: the heater gives all it has
YOUNG_CM, BROOD_DAYS = 1.0, 28  # of livebearers, again and again: from memory
LEAST_LARGER = 1.05  # of the old volume; less is no larger tank
USUAL_ROOM_C, USUAL_SET_POINT_C = 20.0, 25.0


class CannotRehearse(Exception):
    """The tank gives the mishap nothing to work on; ``reason`` is a key."""

    def __init__(self, mishap: Mishap, reason: str) -> None:
        super().__init__(f"{mishap.kind}: {reason}")
        self.mishap, self.reason = mishap, reason


@dataclass(frozen=True)
class Scene:
    """Where a mishap happens.

    Parameters
    ----------
    line
        The tank as planned, made ready past the horizon.
    begins
        When it begins.
    days
        How long one that does not end lasts, at the least. [d]
    """

    line: Timeline
    begins: datetime
    days: int = 120

    @property
    def tank(self) -> Tank:
        """With its plans."""
        return self.line.tank

    @property
    def calendar(self) -> Calendar:
        """Of the tank."""
        return self.line.calendar

    def with_events(self, *events: Event) -> Tank:
        """The tank with more events."""
        return replace(self.tank, events=(*self.tank.events, *events))


@dataclass(frozen=True)
class Kind:
    """A kind of mishap.

    Parameters
    ----------
    unit
        Of the size: ``h``, ``d``, ``g``, ``L``, ``animals``, ``percent``; empty where there is
        none.
    usual, least, most
        Sizes.
    changed
        The tank under the mishap, and how long it lasts.
    besides
        What it does that no record of a tank tells of.
    whole_tank
        Whether the tank itself is another one from the first midnight on, see `moved`.
    """

    unit: str
    usual: float
    least: float
    most: float
    changed: Callable[[Scene, Mishap], Tank]
    besides: Callable[[Scene, Mishap], tuple[Action, ...]]
    whole_tank: bool = False

    def lasts(self, size: float) -> timedelta:
        """How long a mishap of this size lasts."""
        if self.unit == "h":
            return timedelta(hours=size)
        return timedelta(days=size) if self.unit == "d" else timedelta()


def under(scene: Scene, mishap: Mishap) -> Tank:
    """The tank under another future.

    Raises
    ------
    CannotRehearse
        Where the tank has nothing for the mishap to work on.
    KeyError
        For an unknown kind.
    """
    return KINDS[mishap.kind].changed(scene, mishap)


def besides(scene: Scene, mishap: Mishap) -> tuple[Action, ...]:
    """What a mishap does that no record of a tank tells of."""
    return KINDS[mishap.kind].besides(scene, mishap)


def _nothing(_: Scene, __: Mishap) -> tuple[Action, ...]:
    return ()


def _dried(scene: Scene, mishap: Mishap) -> tuple[Action, ...]:
    """What drying takes of the filter's colony, beyond what a standstill of that length takes."""
    begin_d = scene.calendar.days(scene.begins)
    warmth_c = scene.line.setting("room_temperature_c", begin_d, USUAL_ROOM_C)
    dry, wet = (survival(how, mishap.size, warmth_c) for how in ("dry", "covered"))
    kept = Span(min(dry.low / wet.low, 1.0), min(dry.high / wet.high, 1.0))
    return (keeping_action(begin_d, {"filter": kept}),)


def _stopped(what: str) -> Callable[[Scene, Mishap], Tank]:
    def changed(scene: Scene, mishap: Mishap) -> Tank:
        return scene.with_events(Outage(at=scene.begins, hours=mishap.size, what=what))

    return changed


def _filter_under_tap(scene: Scene, _: Mishap) -> Tank:
    return scene.with_events(Clean(at=scene.begins, part="filter", how="tap water"))


def _meals_times(factor: float) -> Callable[[Scene, Mishap], Tank]:
    def changed(scene: Scene, mishap: Mishap) -> Tank:
        return _rewritten(scene, mishap, Feed, meals_times(factor), "no-meals-planned")

    return changed


def meals_times(factor: float) -> Callable[[Event], Event]:
    """A meal of so many times its size."""

    def meal(event: Event) -> Event:
        if not isinstance(event, Feed):
            raise TypeError(event)
        mass = Span(factor * event.mass_g.low, factor * event.mass_g.high)
        return replace(event, mass_g=mass)

    return meal


def _no_changes(scene: Scene, mishap: Mishap) -> Tank:
    return _rewritten(scene, mishap, WaterChange, missed, "no-changes-planned")


def missed(event: Event) -> Event:
    """A water change that is not done."""
    if not isinstance(event, WaterChange):
        raise TypeError(event)
    return replace(event, fraction=0.0)


def _rewritten(
    scene: Scene, mishap: Mishap, kind: type[Event], change: Callable[[Event], Event], lacking: str
) -> Tank:
    """Write what is planned of a kind out as dated events, changed, while the mishap lasts."""
    found = rewritten(scene, kind, change, mishap.size)
    if found is None:
        raise CannotRehearse(mishap, lacking)
    return found


def rewritten(
    scene: Scene, kind: type[Event], change: Callable[[Event], Event], lasts_days: float
) -> Tank | None:
    """The same, of any length; ``None`` where nothing of the kind is planned.

    Parameters
    ----------
    scene, kind, change
        Where, of what, and what becomes of it.
    lasts_days
        From the day on that it begins. [d]
    """
    end = scene.begins + timedelta(days=lasts_days)
    first = scene.begins.replace(hour=0, minute=0, second=0)
    last_day = (end.date() - scene.calendar.filled).days
    planned = [
        e
        for e in events_through(scene.tank, scene.calendar, last_day)
        if isinstance(e, kind) and first <= e.at < end
    ]
    if not planned:
        return None
    others = (e for e in scene.tank.events if not (isinstance(e, kind) and first <= e.at < end))
    return replace(scene.tank, events=(*others, *(change(e) for e in planned)))


def _dies(scene: Scene, mishap: Mishap) -> Tank:
    stock = _stock(scene)
    present = {species: n for species, n in stock.counts.items() if n}
    if not present:
        raise CannotRehearse(mishap, "no-animals")
    largest = max(present, key=lambda species: stock.masses_g[species])
    count = min(round(mishap.size), present[largest])
    return scene.with_events(Died(at=scene.begins, species=largest, count=count, removed=False))


def _stock(scene: Scene) -> Population:
    stock = Population(1.0, own=scene.tank.own_animals)
    day = (scene.begins.date() - scene.calendar.filled).days
    for event in events_through(replace(scene.tank, habits=()), scene.calendar, day):
        if isinstance(event, AnimalsIn | AnimalsOut | Died) and event.at <= scene.begins:
            stock.record(scene.calendar.days(event.at), event)
    return stock


def _spilt(scene: Scene, mishap: Mishap) -> Tank:
    return scene.with_events(Feed(at=scene.begins, mass_g=Span.exact(mishap.size)))


def _multiply(scene: Scene, mishap: Mishap) -> Tank:
    present = {species: n for species, n in _stock(scene).counts.items() if n}
    if not present:
        raise CannotRehearse(mishap, "no-animals")
    species = max(present, key=lambda name: present[name])
    broods = range(0, scene.days, BROOD_DAYS)
    young = (
        AnimalsIn(
            at=scene.begins + timedelta(days=day),
            species=species,
            count=round(mishap.size),
            length_cm=YOUNG_CM,
        )
        for day in broods
    )
    return scene.with_events(*young)


def _joined(scene: Scene, mishap: Mishap) -> Tank:
    """As many more like those there are most of, and as much more food as they need."""
    stock = _stock(scene)
    present = {species: n for species, n in stock.counts.items() if n}
    if not present:
        raise CannotRehearse(mishap, "no-animals")
    species = max(present, key=lambda name: present[name])
    needs = {name: food_need_g_per_d(stock.masses_g[name]).centre for name in present}
    now = sum(count * needs[name] for name, count in present.items())
    more = meals_times(1.0 + mishap.size * needs[species] / now)
    fed = rewritten(scene, Feed, more, scene.days) or scene.tank
    mass_g = stock.masses_g[species]
    new = AnimalsIn(at=scene.begins, species=species, count=round(mishap.size), mass_g=mass_g)
    return replace(fed, events=(*fed.events, new))


def _heater_stuck(scene: Scene, mishap: Mishap) -> Tank:
    if not scene.tank.heater_power_w and scene.tank.heater_set_point_c is None:
        raise CannotRehearse(mishap, "no-heater")
    hours = timedelta(hours=mishap.size)
    return _for_a_while(scene, "heater_set_point_c", STUCK_C, USUAL_SET_POINT_C, hours)


def _heat_wave(scene: Scene, mishap: Mishap) -> Tank:
    usual = scene.line.setting(
        "room_temperature_c", scene.calendar.days(scene.begins), USUAL_ROOM_C
    )
    days = timedelta(days=mishap.size)
    return _for_a_while(scene, "room_temperature_c", usual + HEAT_K, USUAL_ROOM_C, days)


def _for_a_while(
    scene: Scene, setting: str, value: float, default: float, lasts: timedelta
) -> Tank:
    usual = scene.line.setting(setting, scene.calendar.days(scene.begins), default)
    return scene.with_events(
        EquipmentChange(at=scene.begins, changes={setting: value}),
        EquipmentChange(at=scene.begins + lasts, changes={setting: usual}),
    )


def _medicine(scene: Scene, mishap: Mishap) -> Tank:
    kill = Span.exact(mishap.size / 100.0)
    return scene.with_events(Treatment(at=scene.begins, substance="medicine", colony_kill=kill))


def _larger(scene: Scene, mishap: Mishap) -> Tank:
    """The same media, bed and machines in a larger tank; the bed lies as deep as it can reach."""
    before_l = scene.line.geometry["volume_l"]
    if mishap.size <= before_l * LEAST_LARGER:
        raise CannotRehearse(mishap, "not-larger")
    if not scene.tank.events and not scene.tank.habits:
        raise CannotRehearse(mishap, "nothing-to-move")
    bed = as_fitted(scene.tank, scene.begins.date()).bed
    if bed is not None and bed.depth_cm is not None:
        # The floor grows as the square of the edge, so the same gravel lies thinner on it.
        bed = replace(bed, depth_cm=bed.depth_cm * (before_l / mishap.size) ** (2.0 / 3.0))
    tank = overruled(scene.tank, "bed_material", "bed_depth_cm", "bed_grain_mm")
    return replace(tank, volume_l=mishap.size, shape=None, bed=bed)


_CHANGED: dict[str, Callable[[Scene, Mishap], Tank]] = {
    "power-cut": _stopped("all"),
    "filter-stopped": _stopped("filter"),
    "filter-left-dry": _stopped("filter"),
    "filter-under-tap": _filter_under_tap,
    "heater-stopped": _stopped("heater"),
    "heater-stuck": _heater_stuck,
    "heat-wave": _heat_wave,
    "no-food": _meals_times(0.0),
    "double-meals": _meals_times(2.0),
    "neighbour-feeds": _meals_times(NEIGHBOUR_FEEDS),
    "food-spilt": _spilt,
    "animal-dies": _dies,
    "young-fish": _multiply,
    "more-animals": _joined,
    "medicine": _medicine,
    "no-changes": _no_changes,
    "larger-tank": _larger,
}
_BESIDES = {"filter-left-dry": _dried}
KINDS: dict[str, Kind] = {
    name: Kind(
        each.unit,
        each.usual,
        each.least,
        each.most,
        _CHANGED[name],
        _BESIDES.get(name, _nothing),
        name == "larger-tank",
    )
    for name, each in MISHAP_SIZES.items()
}
