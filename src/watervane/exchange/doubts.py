"""What is doubtful about an entry before it is kept: a slip of a finger is asked about, once.

A finding of severity ``problem`` cannot be; one of severity ``caution`` may be, and its keeper
decides. Levels that nobody names are house estimates: far outside what kits are made for or what
keepers do, so that a question is rare and deserved.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Any

from watervane.exchange.doubts_of_animals import animals_doubts
from watervane.exchange.volumes import shape_volume
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Died,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Finding,
    Habit,
    Reading,
    Tank,
    TopOff,
)

What = Event | Habit | Reading
# Least and most of a reading that is taken without a question, in its canonical unit.
USUAL: Mapping[str, tuple[float, float]] = {
    "ammonia": (0.0, 20.0),
    "nitrite": (0.0, 20.0),
    "nitrate": (0.0, 150.0),  # as N; 660 mg/L as the ion
    "ph": (4.0, 10.0),
    "kh": (0.0, 45.0),
    "gh": (0.0, 80.0),
    "temperature": (4.0, 38.0),
    "oxygen": (0.0, 20.0),
    "co2": (0.0, 200.0),
    "chlorine": (0.0, 10.0),
    "phosphate": (0.0, 30.0),
}
JUMP_PH, JUMP_DAYS = 2.0, 14  # water that holds animals does not do that
FOOD_G_PER_L = 0.05  # of one meal; rotting it would bring 3.4 mg N/L
DOSE_G_PER_L = 10.0  # more than any treatment with salt that animals of fresh water are given
TO_LEVEL_MG_N_PER_L = 8.0
MOST_L, LEAST_L = 5000.0, 2.0  # of water, in a tank at home
WARMEST_SET_C, COLDEST_SET_C = 36.0, 5.0
MEDIA_SHARE, DEEPEST_BED_CM = 0.5, 25.0  # litres of media beside those of the water
MG_N_PER_G_FOOD = 67.2  # 42 % protein of which 16 % is nitrogen, timmons_ebeling2007
CLOCKS_APART = timedelta(hours=1)  # a phone's against this machine's
HABIT_AHEAD = timedelta(days=31)
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")


def entry_doubts(what: What, tank: Tank, now: datetime) -> tuple[Finding, ...]:
    """What to ask about an entry, or what it cannot be.

    Parameters
    ----------
    what
        As it was understood.
    tank
        Of the entry; what its log holds is counted with, where it holds any.
    now
        The present, by the clock of the tank.
    """
    found = _of_day(what, now)
    happened = what.template if isinstance(what, Habit) else what
    if isinstance(happened, Reading):
        found += _of_reading(happened, tank)
    elif isinstance(happened, AnimalsIn | AnimalsOut | Died):
        found += animals_doubts(happened, tank, water_l(tank))
    else:
        judge = _JUDGES.get(type(happened))
        found += [] if judge is None else judge(happened, water_l(tank))
    return tuple(found)


def tank_doubts(tank: Tank, now: datetime) -> tuple[Finding, ...]:
    """What to ask about the description of a tank."""
    found = []
    if tank.filled > now.date():
        found.append(_ask("doubt-filled-ahead", field="filled", day=f"{tank.filled}",
                          days=(tank.filled - now.date()).days))  # fmt: skip
    litres = water_l(tank)
    if litres is not None and not LEAST_L <= litres <= MOST_L:
        found.append(_ask("doubt-size", field="volume", litres=f"{litres:.4g}"))
    if tank.heater_set_point_c is not None:
        found += _of_set_point(tank.heater_set_point_c, "set_point")
    return tuple(found)


def water_l(tank: Tank) -> float | None:
    """Litres of a tank by what is told of it; ``None`` where that is too little. [L]"""
    held = shape_volume(tank.shape, tank.bed)
    return tank.volume_l if held is None or tank.volume_l is not None else held.usual_l


def _of_day(what: What, now: datetime) -> list[Finding]:
    """Readings and deeds of days to come."""
    if isinstance(what, Habit):
        ahead = what.start > (now + HABIT_AHEAD).date()
        day = what.start
    else:
        late = what.hour_known and what.at > now + CLOCKS_APART
        day = what.at.date()
        ahead = day > now.date() or (late and isinstance(what, Reading))
    if not ahead:
        return []
    key = "doubt-reading-ahead" if isinstance(what, Reading) else "doubt-ahead"
    return [_ask(key, field="at", day=f"{day}", days=(day - now.date()).days)]


def _of_reading(reading: Reading, tank: Tank) -> list[Finding]:
    value = reading.value
    number = value.high if value.low is None else value.low
    if number is None or reading.quantity not in USUAL:
        return []
    least, most = USUAL[reading.quantity]
    field = {"field": "value", "quantity": reading.quantity, "told": value.raw}
    if not least <= number <= most:
        near = _nearer(value.raw, number, reading.quantity, (least, most))
        return [_ask("doubt-reading-near" if near else "doubt-reading", near=near, **field)]
    if reading.quantity != "ph" or reading.of_source_water:
        return []
    before = [each for each in tank.readings if _near_in_time(each, reading)]
    known = [(each, each.value.low or each.value.high or number) for each in before]
    if known and all(abs(was - number) >= JUMP_PH for _, was in known):
        last = max(known, key=lambda pair: pair[0].at)[0]
        return [_ask("doubt-jump", was=last.value.raw, day=f"{last.at.date()}", **field)]
    return []


def _near_in_time(other: Reading, reading: Reading) -> bool:
    apart = abs(other.at - reading.at)
    alike = other.quantity == reading.quantity and not other.of_source_water
    return alike and apart <= timedelta(days=JUMP_DAYS)


def _nearer(raw: str, number: float, quantity: str, usual: tuple[float, float]) -> str:
    """What was likely meant: a point forgotten, or degrees of the other scale."""
    least, most = usual
    written = _NUMBER.search(raw)
    if written is None:
        return ""
    if quantity == "temperature":
        for told, unit in (((number - 32.0) / 1.8, "F"), (number * 1.8 + 32.0, "C")):
            if least <= told <= most:
                return f"{written[0]} °{unit}"
    for factor in (10.0, 100.0, 1000.0):
        if number > most and least <= number / factor <= most:
            return raw.replace(written[0], _divided(written[0], factor), 1)
    return ""


def _divided(number: str, factor: float) -> str:
    return f"{float(number.replace(',', '.')) / factor:.6g}"


def _of_food(meal: Feed, litres: float | None) -> list[Finding]:
    most_g = FOOD_G_PER_L * (litres or 60.0)
    grams = meal.mass_g.low
    if grams <= most_g:
        return []
    told = {"field": "amount", "grams": f"{grams:.3g}"}
    if litres is None:
        return [_ask("doubt-food", **told)]
    rise = f"{MG_N_PER_G_FOOD * grams / litres:.0f}"
    return [_ask("doubt-food-rise", rise=rise, litres=f"{litres:.3g}", **told)]


def _of_top_off(added: TopOff, litres: float | None) -> list[Finding]:
    if added.volume_l is None or litres is None or added.volume_l <= 0.5 * litres:
        return []
    told = {"field": "volume", "told": f"{added.volume_l:.4g}", "litres": f"{litres:.3g}"}
    if added.volume_l > litres:
        return [Finding("doubt-overflows", "problem", told)]
    return [_ask("doubt-top-off", **told)]


def _of_dose(dose: Dose, litres: float | None) -> list[Finding]:
    told = {"field": "amount", "told": dose.raw, "substance": dose.substance}
    if dose.mass_g is not None and litres and dose.mass_g.low > DOSE_G_PER_L * litres:
        return [_ask("doubt-dose", per_litre=f"{dose.mass_g.low / litres:.2g}", **told)]
    level = dose.target_mg_n_per_l or dose.added_mg_n_per_l or 0.0
    if level > TO_LEVEL_MG_N_PER_L:
        return [_ask("doubt-dosed-high", level=f"{level:.3g}", **told)]
    return []


def _of_equipment(changed: EquipmentChange, litres: float | None) -> list[Finding]:
    set_to = changed.changes.get("heater_set_point_c")
    found = [] if set_to is None else _of_set_point(set_to, "heater_set_point")
    media_l = sum(each.volume_l for each in changed.media or ())
    if litres is not None and media_l > MEDIA_SHARE * litres:
        told = {"told": f"{media_l:.4g}", "litres": f"{litres:.3g}"}
        found.append(_ask("doubt-media", field="media", **told))
    if (changed.bed_depth_cm or 0.0) > DEEPEST_BED_CM:
        found.append(_ask("doubt-bed", field="bed_depth", told=f"{changed.bed_depth_cm:.3g}"))
    return found


def _of_set_point(told_c: float, field: str) -> list[Finding]:
    if COLDEST_SET_C <= told_c <= WARMEST_SET_C:
        return []
    near = (told_c - 32.0) / 1.8
    key = "doubt-set-point"
    if COLDEST_SET_C <= near <= WARMEST_SET_C:
        key = "doubt-set-point-near"
    return [_ask(key, field=field, told=f"{told_c:.3g}", near=f"{near:.0f}")]


def _ask(key: str, **told: object) -> Finding:
    return Finding(key, "caution", told)


_Judge = Callable[[Any, float | None], list[Finding]]
_JUDGES: Mapping[type, _Judge] = {
    Feed: _of_food,
    TopOff: _of_top_off,
    Dose: _of_dose,
    EquipmentChange: _of_equipment,
}
