"""What a keeper usually does, so that a form need not ask it again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Died,
    Dose,
    Entry,
    EquipmentChange,
    Event,
    Feed,
    Habit,
    MediaMoved,
    Reading,
    TopOff,
    Treatment,
    WaterChange,
)


@dataclass(frozen=True, slots=True)
class Usual:
    """Defaults from the newest entries; ``None`` or empty where there is no habit yet.

    ``bases`` is the basis each quantity was last told on, ``kits`` the kit it was last read with,
    ``feeds_itself`` whether a standing habit already tells of the daily food, ``animals`` those
    thought to be in the tank, the most numerous first, ``settings`` what was last told of the
    machines, by the fields of a tank.
    """

    food: str | None = None
    feeds_itself: bool = False
    change: float | None = None
    conditioner: bool = True
    substance: str | None = None
    bases: Mapping[str, str] = field(default_factory=dict)
    kits: Mapping[str, str] = field(default_factory=dict)
    quantities: tuple[str, ...] = ()
    animals: Mapping[str, int] = field(default_factory=dict)
    top_off: TopOff | None = None
    media_moved: float | None = None
    treatment: Treatment | None = None
    settings: Mapping[str, float] = field(default_factory=dict)


def usual_of(entries: Iterable[Entry]) -> Usual:
    """The habits that show in entries, the newest of which stand last."""
    standing = [entry.what for entry in entries if entry.standing]
    happened: list[Event] = [
        what.template if isinstance(what, Habit) else what
        for what in standing
        if not isinstance(what, Reading)
    ]
    readings = [what for what in standing if isinstance(what, Reading) and not what.of_source_water]
    feeds = [each for each in happened if isinstance(each, Feed) and each.mass_g.high > 0]
    changes = [each for each in happened if isinstance(each, WaterChange)]
    doses = [each for each in happened if isinstance(each, Dose)]
    moved = [each for each in happened if isinstance(each, MediaMoved)]
    habits = [what for what in standing if isinstance(what, Habit) and what.until is None]
    return Usual(
        food=(feeds[-1].raw or None) if feeds else None,
        feeds_itself=any(isinstance(habit.template, Feed) for habit in habits),
        change=changes[-1].fraction if changes else None,
        conditioner=changes[-1].conditioner if changes else True,
        substance=doses[-1].substance if doses else None,
        bases={each.quantity: each.value.basis for each in readings},
        kits={each.quantity: each.kit for each in readings if each.kit},
        quantities=tuple(dict.fromkeys(each.quantity for each in reversed(readings))),
        animals=thought_present(happened),
        top_off=next((e for e in reversed(happened) if isinstance(e, TopOff)), None),
        media_moved=moved[-1].fraction if moved else None,
        treatment=next((e for e in reversed(happened) if isinstance(e, Treatment)), None),
        settings=_settings(happened),
    )


def _settings(happened: Iterable[Event]) -> Mapping[str, float]:
    """What was last told of each, by the moments of the changes."""
    changes = (each for each in happened if isinstance(each, EquipmentChange))
    found: dict[str, float] = {}
    for each in sorted(changes, key=lambda change: change.at):
        found.update(each.changes)
    return found


def thought_present(happened: Iterable[Event]) -> Mapping[str, int]:
    """Who is in a tank by what came, went and died, the most numerous first."""
    counts: dict[str, int] = {}
    for each in happened:
        if isinstance(each, AnimalsIn):
            counts[each.species] = counts.get(each.species, 0) + each.count
        elif isinstance(each, AnimalsOut | Died):
            counts[each.species] = max(0, counts.get(each.species, 0) - each.count)
    present = {name: count for name, count in counts.items() if count}
    return dict(sorted(present.items(), key=lambda item: -item[1]))
