"""What the program makes of the incidents: ranks, chances, and whether its first acts are right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from evidence.trouble_incidents import HEALTHY, Incident
from watervane.advice.trouble import meanwhile, weigh
from watervane.advice.trouble_alarms import with_alarms
from watervane.exchange.trouble_words import tank_of_words
from watervane.records.first_aid import AidAct, FirstAid
from watervane.records.trouble import Trouble, TroubleAnswers

TEN_MINUTES, SOON_MIN = 10.0, 4.0
# The act that ends the harm of these, as a keeper would say it.
RIGHT: Mapping[str, str] = {"low-oxygen": "air", "chlorine": "dechlorinate", "ammonia": "bind"}
QUIET = ("nothing", "kit-fault")
ALARMING = 0.5


def judged(told: Incident) -> dict[str, object]:
    """One incident as the program sees it.

    Parameters
    ----------
    told
        The incident.
    """
    found = weigh(told.answers)
    shares, told_all = found.shares, _with_change(found.answers, meanwhile(found))
    hour, spoken = told_all.hour, told_all.spoken_change
    stirred = spoken is not None and spoken.stirred
    ranked = sorted(shares, key=lambda key: -shares[key])
    quiet = sum(shares.get(key, 0.0) for key in QUIET)
    starts = {act.key: act.start_min for act in hour.acts}
    right = RIGHT.get(told.kind, "")
    at_once = [act.key for act in hour.acts[: hour.at_once]]
    return {
        "kind": told.kind,
        "rank": ranked.index(told.kind) + 1 if told.kind in ranked else 0,
        "first": ranked[0],
        "shares": {key: round(share, 5) for key, share in shares.items()},
        "readings": len(told.answers.readings),
        "signs": len(told.answers.see),
        "right": not right or starts.get(right, np.inf) < TEN_MINUTES,
        "right at once": not right or right in at_once,
        "harm at once": harmful(hour, told, hour.at_once, stirred=stirred),
        "harm": harmful(hour, told, len(hour.acts), stirred=stirred),
        "changed": 0.0 if spoken is None else spoken.share,
        "asked": told_all.alarms.first_change is not None,
        "alarmed": told.kind == HEALTHY and quiet < ALARMING and max(
            share for key, share in shares.items() if key not in QUIET
        ) >= ALARMING,
        "quiet": quiet,
        "acts": at_once,
    }  # fmt: skip


def _with_change(answers: TroubleAnswers, hour: FirstAid) -> Trouble:
    """The hour with the change of water that readings speak for, in a tank of unnamed fish."""
    bare = Trouble(answers, (), (), hour, 0.0, 0.0)
    if not answers.readings:
        return bare
    at = max(each.at for each in answers.readings)
    days = {} if answers.age_days is None else {"days-old": f"{answers.age_days:.0f}"}
    found = with_alarms(bare, tank_of_words(days, at), at, measured=False)
    told = found.spoken_change
    if told is None:
        return found
    *acts, watch = found.hour.acts
    change = AidAct("change-spoken", told.start_min, 20.0)
    return replace(found, hour=replace(found.hour, acts=(*acts, change, watch)))


def harmful(hour: FirstAid, told: Incident, count: int, *, stirred: bool = False) -> list[str]:
    """Acts that hurt in this very water, by what each does to it; not by the program's table.

    Parameters
    ----------
    hour
        As told.
    told
        What truly happened.
    count
        Of acts, from the first.
    stirred
        Whether new water is stirred free of gas before it goes in.
    """
    acts = hour.acts[:count]
    starts = {act.key: act.start_min for act in acts}

    def without(remedy: str, at: float, within: float) -> bool:
        return starts.get(remedy, np.inf) > at + within

    found = []
    for act in acts:
        at = act.start_min
        if act.key == "air" and _wakes_ammonia(told) and without("bind", at, SOON_MIN):
            found.append(act.key)
        if act.key == "air" and told.kind == "room-poison" and without("window", at, SOON_MIN):
            found.append(act.key)
        if act.key in ("bind", "dechlorinate") and _starved(told) and without("air", at, SOON_MIN):
            found.append(act.key)
        if act.key == "warm" and (told.water.temperature > 28.5 or _starved(told)):
            found.append(act.key)
        if act.key == "cool" and told.water.temperature < 22.0:
            found.append(act.key)
        if act.key.startswith("change") and _tap_hurts(told, starts, at, stirred):
            found.append(act.key)
    return found


def _wakes_ammonia(told: Incident) -> bool:
    """Carbon dioxide driven out lifts pH by up to its excess over air; ammonia then bites."""
    water = told.water
    lift = min(np.log10(max(water.co2, 0.61) / 1.0), 1.2)
    free = water.free_ammonia * 10.0**lift
    return bool(water.ph < 7.0 and free > 0.05 and water.free_ammonia < 0.03)


def _starved(told: Incident) -> bool:
    return told.water.oxygen < 4.0


def _tap_hurts(told: Incident, starts: Mapping[str, float], at: float, stirred: bool) -> bool:  # noqa: FBT001 - an answer
    if told.kind == "chlorine":
        return starts.get("dechlorinate", np.inf) > at
    if _wakes_ammonia(told):
        return starts.get("bind", np.inf) > at
    if told.kind == "gas-laden":
        return not stirred
    return told.kind in ("copper", "ph-swing", "mineral-jump")
