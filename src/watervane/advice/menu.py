"""Ways through the next week worth trying, from doing nothing to a bucket a day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from watervane.advice.acts import (
    air,
    change,
    check,
    clear,
    dose,
    fast,
    less_food,
    move_out,
    seed,
    set_warmth,
    zeolite,
)
from watervane.chemistry.salts import SALTS, dose_for_alkalinity_g, dose_for_chloride_g
from watervane.records import Act, OwnAnimal
from watervane.units.conversions import MEQ_PER_L_PER_DKH

ONCE = (0.15, 0.3, 0.5, 0.75)
DAILY, EVERY_SECOND = (0.2, 0.35, 0.5), (0.3, 0.5)
CHECKS = ((6, 1.0), (3, 2.0))  # how many times, and how many days apart
CHECK_SHARE = 0.5
PUT_OFF_D = (1.0, 2.0, 3.0)  # of one change; farther off the next reading tells more
SMALLER = 2.0 / 3.0  # of the share, where a change that is put off is to be less work
FAST_D, LESS_D = 2.0, 7.0
NOTCH = 0.05  # of the water: a keeper's eye is no finer
WASTE = ("ammonia", "nitrite")
POURED = ("ammonia", "nitrite", "nitrate", "co2", "chlorine")
HELD_CHLORIDE_MG_PER_L = 100.0
BUFFER_RISE_DKH = 1.0
SEED_L = 0.5
ZEOLITE_G_PER_L = 2.0  # some two milligrams of nitrogen a litre in fresh water
FRESH_CHLORIDE_MG_PER_L = 1000.0  # in saltier water a zeolite holds next to nothing
USUAL_AIR_L_PER_H = 60.0

Way = tuple[Act, ...]


@dataclass(frozen=True)
class Setting:
    """What the menu has to know of a tank.

    Parameters
    ----------
    at
        When the first step can be done.
    volume_l
        Of the full tank. [L]
    in_doubt
        Subjects whose risk is more than accepted, as ``ammonia``, ``ph_below``.
    fed
        Whether food is planned.
    animals
        Present, by species.
    masses_g
        Of one of each. [g]
    air_l_per_h
        Air run now. [L/h]
    warmth_c
        Warmest and coldest water all present like, where the tank has a heater. [degC]
    chloride_mg_per_l, hot
        Middle member's chloride, and whether the water is too warm rather than too cold.
    own
        The keeper's own rows of animals.
    marks
        Readings from which on water could be changed, by quantity, lowest first. [mg N/L]
    """

    at: datetime
    volume_l: float
    in_doubt: frozenset[str]
    fed: bool
    animals: Mapping[str, int]
    masses_g: Mapping[str, float]
    air_l_per_h: float
    warmth_c: float | None
    chloride_mg_per_l: float
    hot: bool
    own: Sequence[OwnAnimal] = ()
    marks: Mapping[str, Sequence[float]] = field(default_factory=dict)


def singles(told: Setting) -> list[Way]:
    """One kind of thing at a time; each is judged by its future, not by this list."""
    if not told.in_doubt:
        return []
    extras = ((extra,) for extra in _extras(told))
    return [*_changes(told), *_checks(told), *_lesser(told), *extras]


def together(mains: Sequence[Way], told: Setting) -> list[Way]:
    """Some water changes, each together with what else there is; the last with two things.

    Parameters
    ----------
    mains
        Water changes worth going on with, the one most work last.
    told
        As in `singles`.
    """
    lesser, extras = _lesser(told), [(extra,) for extra in _extras(told)]
    found = [(*main, *other) for main in mains for other in (*lesser, *extras)]
    if lesser:
        found += [(*main, *lesser[-1], *extra) for main in mains[-1:] for extra in extras]
        found += [(*lesser[-1], *extra) for extra in extras]
    return list(dict.fromkeys(found))


def finer(way: Way, tried: Sequence[Way], told: Setting) -> Iterator[Way]:
    """The same way with smaller water changes, down to the next one that was tried.

    Parameters
    ----------
    way
        That is to be cut down.
    tried
        Ways tried so far.
    told
        As in `singles`.
    """
    place = next((k for k, act in enumerate(way) if act.kind == "change"), None)
    if place is None:
        return
    act = way[place]
    others = (*way[:place], *way[place + 1 :])
    smaller = [
        other[place].amount
        for other in tried
        if len(other) == len(way)
        and (*other[:place], *other[place + 1 :]) == others
        and replace(other[place], amount=act.amount, minutes=act.minutes, litres=act.litres) == act
        and other[place].amount < act.amount
    ]
    floor = max(smaller, default=0.0)
    steps = round((act.amount - floor) / NOTCH) - 1
    for k in range(1, steps + 1):
        share = round(act.amount - k * NOTCH, 2)
        less = change(act.at, share, told.volume_l, act.times, act.every_days)
        less = replace(less, wait_d=act.wait_d)
        yield (*way[:place], less, *way[place + 1 :])


def later(way: Way, told: Setting) -> Iterator[Way]:
    """The same way with its one water change put off by days, and smaller.

    What is left at the end of a week in which a level climbs is less after a later change, so
    that a smaller one may do; whether those days are borne is told by their future.

    Parameters
    ----------
    way
        With one change of today; of another nothing comes.
    told
        As in `singles`.
    """
    for days in PUT_OFF_D:
        yield from filter(None, [put_off(way, told, days, SMALLER)])


def put_off(way: Way, told: Setting, days: float, part: float = 1.0) -> Way | None:
    """The same way with its one water change some days later; ``None`` where it has not just one.

    Parameters
    ----------
    way
        With a change of today.
    told
        As in `singles`.
    days
        Later. [d]
    part
        Of the change's share that is changed then.
    """
    changes = [act for act in way if act.kind in ("change", "check")]
    if len(changes) != 1 or changes[0].kind != "change" or changes[0].times > 1:
        return None
    now = changes[0]
    if now.wait_d:
        return None
    share = now.amount if part == 1.0 else max(round(part * now.amount / NOTCH), 1) * NOTCH
    at = told.at + timedelta(days=days)
    then = replace(change(at, round(share, 2), told.volume_l), wait_d=days)
    return tuple(then if act is now else act for act in way)


def _changes(told: Setting) -> list[Way]:
    if not told.in_doubt & {*POURED, "ph", "alkalinity", "hardness", "temperature", "oxygen"}:
        return []
    found = [(share, told.volume_l, 1, 1.0) for share in ONCE]
    if told.in_doubt & set(WASTE):
        found += [(share, told.volume_l, 7, 1.0) for share in DAILY]
        found += [(share, told.volume_l, 4, 2.0) for share in EVERY_SECOND]
    return [(change(told.at, *each),) for each in found]


def _checks(told: Setting) -> list[Way]:
    """Tests read on days to come, and water changed where they ask for it."""
    read = {name: marks for name, marks in told.marks.items() if name in told.in_doubt and marks}
    rungs = max(map(len, read.values()), default=0)
    found: list[Way] = []
    for rung in range(rungs):
        above = tuple((name, marks[min(rung, len(marks) - 1)]) for name, marks in read.items())
        found += [(check(told.at, CHECK_SHARE, told.volume_l, often, above),) for often in CHECKS]
    return found


def _lesser(told: Setting) -> list[Way]:
    if not told.fed or not told.in_doubt & {*WASTE, "oxygen", "nitrate"}:
        return []
    return [(less_food(told.at, LESS_D),), (fast(told.at, FAST_D),)]


def _extras(told: Setting) -> Iterator[Act]:
    doubt = told.in_doubt
    if doubt & {"oxygen", "co2"}:
        yield air(told.at, max(2.0 * told.air_l_per_h, USUAL_AIR_L_PER_H))
    if doubt & {*WASTE, "oxygen"}:
        yield clear(told.at)
        yield seed(told.at, SEED_L)
    if "ammonia" in doubt and told.chloride_mg_per_l < FRESH_CHLORIDE_MG_PER_L:
        yield zeolite(told.at, _handy(ZEOLITE_G_PER_L * told.volume_l))
    if "chlorine" in doubt:
        yield dose("condition", told.at, "conditioner", 0.0)
    rise = HELD_CHLORIDE_MG_PER_L - told.chloride_mg_per_l
    if "nitrite" in doubt and rise > 5.0:
        grams = float(dose_for_chloride_g(SALTS["sodium-chloride"], rise, told.volume_l))
        yield dose("salt", told.at, "sodium chloride", _handy(grams))
    if doubt & {"alkalinity", "ph_below"}:
        meq = BUFFER_RISE_DKH * MEQ_PER_L_PER_DKH
        grams = float(dose_for_alkalinity_g(SALTS["sodium-bicarbonate"], meq, told.volume_l))
        yield dose("buffer", told.at, "sodium bicarbonate", _handy(grams))
    if "temperature" in doubt and told.warmth_c is not None:
        yield set_warmth(told.at, told.warmth_c, warmer=not told.hot)
    if doubt & {*WASTE, "oxygen", "nitrate"} and told.animals:
        yield _heaviest_out(told)


def _heaviest_out(told: Setting) -> Act:
    """Half of the kind that weighs most together; all of them where it is one animal."""
    species = max(told.animals, key=lambda name: told.animals[name] * told.masses_g[name])
    return move_out(told.at, species, max((told.animals[species] + 1) // 2, 1))


def _handy(grams: float) -> float:
    """Two digits: a kitchen's spoon or scale has no more."""
    return float(f"{grams:.2g}")
