"""How much water to change in this hour of trouble, where what was read speaks for a change.

Limits say how much in all. The hour gets the largest part of it that harms under no cause still
possible: by the table of first aid, with what makes new water harmless done before. A cause that
only comes of new water, a newcomer or a dose is no longer possible where whoever asks has thought
of all deeds, named none of these, and it is improbable besides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from watervane.advice.first_aid import acts_at_once, causes_against_change, scheduled
from watervane.process.geometry import water_body
from watervane.process.read_water import latest_reading
from watervane.records import ReadAlarm, Tank
from watervane.records.first_aid import AidAct, FirstAid
from watervane.records.trouble import SpokenChange, Trouble, TroubleAnswers
from watervane.reference.first_aid import AidTables, aid_tables

EXCLUDED = 0.02  # under it a cause that only comes of deeds is out, where none of them was done
FIFTH, TENTH = "change-fifth", "change-tenth"
SIZES = {"big-change": 0.5, FIFTH: 0.2, TENTH: 0.1}
LAST = "watch"
# What makes new water harmless, whatever its size: a dose for the whole tank before, stirring it
# in an open bucket until no more bubbles rise, bringing it to the tank's warmth.
DOSED, STIRRED, WARMED = {"chlorine": "dechlorinate"}, "gas-laden", "cold"
LIKE = {"kh": 1.5, "gh": 1.5}  # source and tank nearer than that: no jump; a house estimate
LIKE_PH = 0.5
LITTLE_BETTER = 0.5  # a source that holds more than this share of what was read brings no relief


def with_change(found: Trouble, tank: Tank, *, measured: bool) -> Trouble:
    """The hour with the change of water that readings speak for, or why there is none.

    Parameters
    ----------
    found
        With the alarms of its readings.
    tank
        Whose volume and source water count.
    measured
        Whether its volume is told.
    """
    first = found.alarms.first_change
    if first is None or _source_as_bad(found, tank):
        return found
    asked = first.amount
    tables, possible = aid_tables(), change_causes(found, tank)
    size = next(
        (key for key in _sizes(asked, found, tank) if _harmless(key, possible, tables)), None
    )
    if size is None:
        against = causes_against_change({c.key: c.share for c in found.hour.causes}, possible)
        return replace(found, hour=replace(found.hour, no_change=against or found.hour.no_change))
    share = min(asked, SIZES[size])
    hour = _hour(found.hour, size, possible, tables)
    litres = share * water_body(tank)[0].volume_l if measured else None
    start = next(act.start_min for act in hour.acts if act.key == LAST)
    told = SpokenChange(asked, share, litres, start, STIRRED in possible)
    return replace(found, hour=hour, spoken_change=told)


def change_causes(found: Trouble, tank: Tank) -> frozenset[str]:
    """Causes of first aid under which the change may not harm.

    Parameters
    ----------
    found, tank
        As above.
    """
    tables, answers = aid_tables(), found.answers
    possible = {cause.key for cause in found.hour.causes if cause.open}
    for cause in found.hour.causes:
        needs = tables.causes[cause.key].only_after
        if needs and _named_none(answers, needs) and cause.share < EXCLUDED:
            possible.discard(cause.key)
    if like_its_tap(tank):
        possible -= {"water-jump", "old-drift"}
    return frozenset(possible)


def _named_none(answers: TroubleAnswers, deeds: Iterable[str]) -> bool:
    """Whether whoever answered has thought of all that was done, and it was none of these."""
    return bool(answers.done) and not answers.partly and not set(deeds) & set(answers.done)


def _sizes(asked: float, found: Trouble, tank: Tank) -> list[str]:
    """Sizes from the largest of use on; a tap that would lift pH over ammonia allows a tenth."""
    if asked <= SIZES[TENTH] or _lifts_ph(found, tank):
        return [TENTH]
    return [key for key in SIZES if key != "big-change" or asked > SIZES[FIFTH]]


def _lifts_ph(found: Trouble, tank: Tank) -> bool:
    ours, theirs = latest_reading(tank, "ph"), tank.source_water.ph
    alarms = (*found.alarms.alarms, *filter(None, [found.alarms.asleep]))
    apart = ours is not None and theirs is not None and theirs - ours > LIKE_PH
    return apart and any(each.quantity == "ammonia" for each in alarms)


def _harmless(size: str, possible: frozenset[str], tables: AidTables) -> bool:
    fifth = size if size != "big-change" else FIFTH
    return all(_bears(fifth, cause, tables) and _bears(size, cause, tables) for cause in possible)


def _bears(key: str, cause: str, tables: AidTables) -> bool:
    told = tables.effects[key, cause]
    remedied = bool(told.unless) or cause in (*DOSED, STIRRED, WARMED)
    return told.effect != "harms" or remedied


def _hour(hour: FirstAid, size: str, possible: frozenset[str], tables: AidTables) -> FirstAid:
    """The hour anew, with what the new water needs before it."""
    needs = [act for cause, act in DOSED.items() if cause in possible]
    step = size if size != "big-change" else FIFTH
    needs += [t.unless for c in possible if (t := tables.effects[step, c]).effect == "harms"]
    keys = [act.key for act in hour.acts if act.key not in (FIFTH, TENTH, LAST)]
    wanted = [*keys, *(key for key in dict.fromkeys(needs) if key and key not in keys)]
    open_causes = frozenset(cause.key for cause in hour.causes if cause.open)
    order = scheduled(wanted, open_causes, tables)
    helped = {act.key: act.helps for act in hour.acts}
    acts, start = [], 0.0
    for act in order:
        acts.append(AidAct(act.key, start, act.minutes, helped.get(act.key, "")))
        start += act.minutes
    return replace(hour, acts=tuple(acts), at_once=acts_at_once(order, open_causes), no_change=())


def like_its_tap(tank: Tank) -> bool:
    """Whether tap and tank are known to be so much alike that no change makes a jump.

    Parameters
    ----------
    tank
        With readings of its own water, and its source water.
    """
    source, near = tank.source_water, []
    for quantity, times in LIKE.items():
        ours, theirs = latest_reading(tank, quantity), getattr(source, f"{quantity}_d{quantity}")
        if ours is None or theirs is None or min(ours, theirs) <= 0.0:
            return False
        near.append(abs(math.log(ours / theirs)) <= math.log(times))
    ph = latest_reading(tank, "ph")
    return all(near) and ph is not None and source.ph is not None and abs(ph - source.ph) <= LIKE_PH


def _source_as_bad(found: Trouble, tank: Tank) -> bool:
    """Whether the tap is known to hold nearly as much of what the change is to thin."""
    return any(_brings(each, tank) for each in found.alarms.alarms)


def _brings(alarm: ReadAlarm, tank: Tank) -> bool:
    held = getattr(tank.source_water, f"{alarm.quantity}_mg_n_per_l", None)
    return held is not None and held > LITTLE_BETTER * alarm.level


__all__ = ["SIZES", "change_causes", "like_its_tap", "with_change"]
