"""A step that was chosen, as the lines that tell it was done, and whether they were told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from math import ceil

from watervane.app.keeping import Line
from watervane.app.ports import Ports
from watervane.app.recording import understood
from watervane.app.tank_page import LookedAt
from watervane.records import (
    Act,
    AnimalsOut,
    Clean,
    Dose,
    Entry,
    EquipmentChange,
    Event,
    Feed,
    Habit,
    Note,
    Reading,
)
from watervane.wording import short_act

# Of entries that tell that a step was done.
DONE_KINDS = frozenset(
    {"water-change", "feed", "clean", "dose", "seed", "animals-out", "equipment", "note"}
)
MOST_DAYS = 14
SALT, SODA = "sodium chloride", "sodium bicarbonate"


def line_of_act(act: Act) -> Line:
    """What to record once a step was done; what no event can tell becomes a note."""
    match act.kind:
        case "change":
            return Line("water-change", (f"fraction={100 * act.amount:.3g}%", "conditioner=yes"))
        case "fast":
            return Line("feed", ("amount=0",))
        case "clear":
            return Line("clean", ("part=waste",))
        case "condition":
            return Line("dose", ("substance=conditioner",))
        case "salt":
            return Line("dose", (f"substance={SALT}", f"amount={act.amount:.4g} g"))
        case "buffer":
            return Line("dose", (f"substance={SODA}", f"amount={act.amount:.4g} g"))
        case "zeolite":
            return Line("dose", ("substance=zeolite", f"amount={act.amount:.4g} g"))
        case "seed":
            return Line("seed", ("source=media", f"volume={act.amount:.3g} L"))
        case "move-out":
            return Line("animals-out", (f"species={act.what}", f"count={act.amount:.0f}"))
        case "air":
            return Line("equipment", (f"air_flow={act.amount:.4g} L/h",))
        case "warm" | "cool":
            return Line("equipment", (f"heater_set_point={act.amount:.4g} degC",))
    return Line("note", (f"text={short_act(act)}",))


def days_of_act(act: Act) -> int:
    """On how many days in a row a step is done, once it is begun."""
    return min(MOST_DAYS, max(1, ceil(act.amount))) if act.kind == "fast" else 1


def lines_of_days(line: Line, days: int, now: datetime) -> list[Line]:
    """The line once for each of some days from its own moment on."""
    begun = line.at or now
    first = now.date()
    if isinstance(begun, date):
        first = begun.date() if isinstance(begun, datetime) else begun
    ahead: list[date] = [first + timedelta(days=each) for each in range(1, min(days, MOST_DAYS))]
    return [line, *(replace(line, at=day) for day in ahead)]


def done_since(looked: LookedAt, line: Line, ports: Ports) -> Entry | None:
    """The standing entry that told of such a step since the newest judgement, if there is one.

    Its amount may be another: whoever changed a fifth in the place of a quarter did change water.

    Raises
    ------
    BadLines
        Where the line means nothing.
    """
    if looked.judged is None:
        return None
    ((what, *_), _) = understood([line], looked.tank, ports)
    since, knows = looked.judged.today.as_of.date(), looked.judged.knows
    told = [
        (entry.what.at, entry)
        for entry in looked.entries
        if entry.standing
        and entry.number > knows
        and not isinstance(entry.what, Habit)
        and entry.what.at.date() >= since
        and _alike(entry.what, what)
    ]
    return min(told, key=lambda each: each[0])[1] if told else None


def _alike(told: Event | Reading, meant: Event | Habit | Reading) -> bool:
    if type(told) is not type(meant):
        return False
    match told, meant:
        case Feed(), Feed():
            return told.mass_g.high == meant.mass_g.high == 0.0
        case Dose(), Dose():
            return told.substance == meant.substance
        case Clean(), Clean():
            return told.part == meant.part
        case AnimalsOut(), AnimalsOut():
            return told.species == meant.species
        case EquipmentChange(), EquipmentChange():
            return set(told.changes) >= set(meant.changes)
        case Note(), Note():
            return told.text == meant.text
    return True
