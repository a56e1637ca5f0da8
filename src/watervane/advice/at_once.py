"""What readings say by themselves: from limits and chemistry alone, without any forecast.

A keeper who reads something alarming is to hear of it at once, not when members have been fitted.
What the readings leave open of pH, warmth and chloride is drawn, as for the list of limits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from functools import partial

import numpy as np

from watervane.advice.emergency import subject_of, within_the_hour
from watervane.advice.read_alarm import GENTLE_SHARE, NITROGEN, hardly_buffered, read_alarms
from watervane.advice.since_reading import Done, done_since
from watervane.advice.wary_change import may_hurt
from watervane.limits import limits_in
from watervane.process.geometry import water_body
from watervane.process.read_water import known_water, latest_reading
from watervane.records import Act, AtOnce, ReadAlarm, Tank

SEED = 1
AMMONIA, AWAKE_PH = NITROGEN["ammonia"], 7.5  # pH of usual tap water
MOST_AT_ONCE = 0.5  # of the water, as nothing has weighed the tap yet: common practice, no source
CHANGE_MINUTES = 20.0  # a house estimate, as in first aid
BOUNDING = ("kh", "ph")  # read far off, they bound how much water is changed at once


def at_once(tank: Tank, animals: Iterable[str], now: datetime, *, by_log: bool = True) -> AtOnce:
    """Alarming readings of the last two days, of alkalinity of a fortnight, and what to do.

    Parameters
    ----------
    tank
        With those of its readings and changes that count: the last of each quantity tells of pH,
        warmth and chloride, whatever its age.
    animals
        Those present, as their keeper names them; nobody is harmed where there are none.
    now
        The moment, by the clock of the tank.
    by_log
        Whether the log tells what was done in the two days before; who is asked for that asks not.
    """
    limits = limits_in(tank, animals)
    if not limits or not tank.readings:
        return AtOnce()
    # A test of today whose hour is not told may be dated a few hours ahead.
    told = [each.at for each in tank.readings if each.at.date() == now.date()]
    as_of = max([now, *told])
    done = done_since(tank, as_of)
    water = known_water(tank, SEED)
    doubted = partial(may_hurt, tank) if by_log else None
    alarms = tuple(
        replace(each, share=min(each.share, MOST_AT_ONCE))
        for each in read_alarms(tank.readings, done, as_of, water, limits, doubted=doubted)
    )
    asleep = None
    if not any(each.quantity == "ammonia" for each in alarms):
        awake = replace(water, ph=np.maximum(water.ph, AWAKE_PH))
        sleeping = {"ammonia": AMMONIA}
        found = read_alarms(tank.readings, done, as_of, awake, limits, sleeping, doubted)
        asleep = next(iter(found), None)
    if asleep is not None:
        asleep = replace(asleep, gently=True, share=GENTLE_SHARE)
    acute = [each for each in alarms if each.limit.tier == "acute"]
    hour = [subject_of(each.limit.subject, each.limit.side) for each in acute]
    steps = within_the_hour(hour, latest_reading(tank, "ph")) if hour else ()
    # Salt is weighed for each animal once the whole judgement is made.
    steps = tuple(each for each in steps if each.key != "hour-chloride")
    every = [*alarms, *([asleep] if asleep else [])]
    first = _change(every, tank, now)
    bounding = _bounding(every, tank, done, as_of)
    return AtOnce(
        alarms,
        asleep,
        AWAKE_PH,
        steps,
        first,
        bounded_by=bounding,
        most_share=GENTLE_SHARE if bounding else 1.0,
    )


def _bounding(alarms: Iterable[ReadAlarm], tank: Tank, done: Done, as_of: datetime) -> str:
    """The reading by which a tenth at once is the most, ``kh`` or ``ph``; empty where none is.

    Where the pH of the tap was told, steps go by what it does to the tank's.
    """
    alarming = [each.quantity for each in alarms if each.quantity in BOUNDING]
    if alarming:
        return alarming[0]
    if tank.source_water.ph is not None or not any(each.gently for each in alarms):
        return ""
    return "kh" if hardly_buffered(tank.readings, done, as_of) else "ph"


def _change(alarms: Iterable[ReadAlarm], tank: Tank, now: datetime) -> Act | None:
    """The first change of water against what was read of nitrogen; the largest of several."""
    nitrogen = [each for each in alarms if each.quantity in NITROGEN]
    shares = [each.share for each in nitrogen]
    if not shares or any(each.after for each in nitrogen):
        return None
    litres = max(shares) * water_body(tank)[0].volume_l
    return Act("change", now, max(shares), "share", minutes=CHANGE_MINUTES, litres=litres)
