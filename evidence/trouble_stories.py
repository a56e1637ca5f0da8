"""Incidents as keepers tell them: a third set, to improve the reasoning by, never to report from.

Made from `trouble_stories.toml`: stories told in turns of phrase, a handful of things each, the
most striking first. Waters, kits and keepers are its own; only the chemistry of a still water is
shared with `trouble_other_incidents`.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from evidence.trouble_incidents import HEALTHY, Incident
from evidence.trouble_other_incidents import Still
from evidence.trouble_tanks import Rng
from watervane.records import Kit, KitScale, Reading, ReadingValue
from watervane.records.trouble import TroubleAnswers

TABLE = Path(__file__).with_name("trouble_stories.toml")
NOON = datetime(2026, 10, 11, 13, tzinfo=UTC)
# Three boxes that keepers own, each with its quantities and steps; one basis a box.
_BOXES: Mapping[str, tuple[str, Mapping[str, tuple[float, ...]]]] = {
    "strip": ("ion", {
        "nitrite": (0.0, 0.8, 2.5, 8.0), "nitrate": (0.0, 8.0, 20.0, 45.0, 90.0, 200.0),
        "ph": (5.9, 6.3, 6.7, 7.1, 7.5, 7.9, 8.3), "kh": (0.0, 2.5, 5.0, 9.0, 14.0, 20.0),
        "gh": (0.0, 5.0, 10.0, 15.0, 25.0), "chlorine": (0.0, 0.6, 1.2, 2.5)}),
    "drops": ("ion", {
        "ammonia": (0.0, 0.07, 0.15, 0.35, 0.7, 1.2, 2.4, 4.8),
        "nitrite": (0.0, 0.03, 0.07, 0.15, 0.3, 0.6, 1.2, 2.4),
        "nitrate": (0.0, 2.0, 6.0, 12.0, 24.0, 45.0, 90.0),
        "ph": tuple(5.0 + 0.5 * n for n in range(9)), "kh": tuple(float(n) for n in range(26)),
        "gh": tuple(float(n) for n in range(31))}),
    "case": ("n", {
        "ammonia": (0.0, 0.2, 0.45, 0.9, 1.8, 3.6), "nitrite": (0.0, 0.2, 0.45, 0.9, 1.8, 4.5),
        "nitrate": (0.0, 2.0, 4.5, 9.0, 18.0, 36.0),
        "ph": (6.1, 6.5, 6.9, 7.3, 7.7, 8.1, 8.7)}),
}  # fmt: skip
_BOX_SHARES = {"none": 0.13, "strip": 0.27, "drops": 0.35, "case": 0.25}
_AS_ION = {"ammonia": 1.288, "nitrite": 3.284, "nitrate": 4.427}
_THERMOMETER, _OXYGEN = 0.85, 0.04
_OTHER_DEEDS = {
    "water-change": 0.3, "filter-cleaned": 0.08, "newcomers": 0.08, "treated": 0.04, "gas": 0.06,
    "heat": 0.05, "sprayed": 0.05, "stopped": 0.03, "food-spilt": 0.015, "months": 0.07,
}  # fmt: skip
_SAID, _STRAY_PHRASE, _SLIP = 0.88, 0.02, 0.03
_ALARMS = {"ammonia": 1.5, "nitrite": 1.2, "nitrate": 40.0, "ph": 0.0}


@cache
def told_stories() -> Mapping[str, Any]:
    """The table."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def story_incidents(seed: int, count: int) -> list[Incident]:
    """So many, of stories as often as the table says."""
    stories = told_stories()["story"]
    often = np.array([each["often"] for each in stories], dtype=float)
    chosen = np.random.default_rng([seed, 80]).choice(len(stories), count, p=often / often.sum())
    return [told_as(stories[k], np.random.default_rng([seed, 81, n])) for n, k in enumerate(chosen)]


def story_healthy(seed: int, count: int) -> list[Incident]:
    """Tanks in which nothing is wrong, whose keepers ask because of something small."""
    small = {"cause": HEALTHY, "age": [3, 1500], "hours": [5, 300], "did": {}, "died": 0.0,
             "whom": [0.5, 0.25, 0.25], "water": {},
             "says": {"all_well": 0.55, "moping": 0.12, "oily_top": 0.08, "milky": 0.1,
                      "scratching": 0.05, "bullied": 0.05, "frayed": 0.03}}  # fmt: skip
    return [told_as(small, np.random.default_rng([seed, 82, n])) for n in range(count)]


def told_as(story: Mapping[str, Any], rng: Rng) -> Incident:
    """One incident of a story.

    Parameters
    ----------
    story
        Of the table.
    rng
        Of the draws.
    """
    age, hours = (_between(rng, *story[name]) for name in ("age", "hours"))
    before, now = _waters(story, age, rng)
    done = _done(story, age, rng)
    readings, earlier, kits = _measured(story["cause"], before, now, rng)
    answers = TroubleAnswers(
        see=_said(story, rng),
        who=_whom(story, rng),
        since=_since(hours, rng),
        done=_named(done, rng),
        age_days=round(age, 1) if rng.random() < 0.8 else None,
        readings=readings,
        before=earlier,
        kits=kits,
    )
    return Incident(story["cause"], answers, now)  # type: ignore[arg-type]  # has what is asked for


def _between(rng: Rng, low: float, high: float) -> float:
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def _said(story: Mapping[str, Any], rng: Rng) -> tuple[str, ...]:
    """Phrases bring signs; of these a keeper says some, the most striking first."""
    table, order = told_stories()["phrase"], told_stories()["striking"]["order"]
    talks = 1 + int(rng.poisson(2.2))
    while True:
        found = set()
        for phrase, chance in story["says"].items():
            if rng.random() < chance:
                found |= {sign for sign, often in table[phrase].items() if rng.random() < often}
        for phrase, signs in table.items():
            if phrase != "all_well" and rng.random() < _STRAY_PHRASE:
                found |= {sign for sign, often in signs.items() if rng.random() < 0.6 * often}
        if rng.random() < story["died"]:
            whole = story["whom"][0] > 0.5 and rng.random() < 0.6
            found.add("deaths-all" if whole else "deaths-one-species")
        if len(found) > 2:
            found.discard("as-usual")
        if found:
            return tuple(sorted(sorted(found, key=order.index)[:talks]))


def _whom(story: Mapping[str, Any], rng: Rng) -> str:
    if rng.random() < 0.35:
        return ""
    if rng.random() < story.get("new", 0.0):
        return "newcomers"
    return str(rng.choice(["all", "one-species", "one-animal"], p=story["whom"]))


def _since(hours: float, rng: Rng) -> str:
    if rng.random() < 0.3:
        return ""
    seen = hours * rng.uniform(0.3, 1.0)
    ends = {"hours": 10.0, "a-day": 36.0, "days": 220.0, "weeks": math.inf}
    return next(name for name, end in ends.items() if seen < end)


def _done(story: Mapping[str, Any], age: float, rng: Rng) -> set[str]:
    needs = story.get("needs", [])
    while True:
        found = {
            deed
            for deed, chance in {**_OTHER_DEEDS, **story["did"]}.items()
            if rng.random() < chance and (deed != "months" or age > 100.0)
        }
        if "months" in found:
            found -= {"water-change", "water-raw"} - set(needs)
        if not needs or found & set(needs):
            return found


def _named(done: set[str], rng: Rng) -> tuple[str, ...]:
    if rng.random() < 0.22:
        return ()
    named = sorted(deed for deed in done if rng.random() < _SAID)
    return tuple(named) or ("none",)


def _plain(rng: Rng, age: float) -> dict[str, float]:
    fresh = math.exp(-age / 30.0)  # 1 in a new tank
    kh = _between(rng, 1.5, 14.0)
    return {
        "tan": _between(rng, 0.01, 0.08 + 0.25 * fresh),
        "nitrite": _between(rng, 0.003, 0.04 + 0.2 * fresh),
        "nitrate": _between(rng, 0.8 + 1.5 * (1.0 - fresh), 4.0 + 14.0 * (1.0 - fresh)),
        "kh": kh,
        "gh": kh * _between(rng, 0.8, 2.5),
        "co2": _between(rng, 1.8, 9.0),
        "oxygen_share": rng.uniform(0.72, 1.0),
        "temperature": rng.uniform(22.5, 27.0),
        "chloride": _between(rng, 8.0, 90.0),
    }


def _waters(story: Mapping[str, Any], age: float, rng: Rng) -> tuple[Still, Still]:
    names = {each.name for each in fields(Still)}
    while True:
        plain = _plain(rng, age)
        before = Still(**plain)
        if before.free_ammonia > 0.012 or not 6.2 < before.ph < 8.7:
            continue
        moved = {"temperature": plain["temperature"] + rng.uniform(-0.7, 0.7)}
        water = {**plain, **moved}
        for name in ("kh", "gh", "nitrate", "co2"):
            water[name] *= _between(rng, 0.9, 1.1)
        up = rng.random() < 0.5
        for name, (how, low, high) in story["water"].items():
            if name not in names:
                raise KeyError(name)
            size = rng.uniform(low, high) if how == "shift" else _between(rng, low, high)
            held = water.get(name, 0.0)
            water[name] = {"is": size, "plus": held + size, "shift": held + size,
                           "times": held * size, "apart": held * size if up else held / size,
                           }[how]  # fmt: skip
        now = Still(**water)
        if _holds(story["cause"], before, now):
            return before, now


def _holds(cause: str, before: Still, now: Still) -> bool:
    """Whether the water is what its story calls it."""
    if cause in ("ammonia", "colonies-lost"):  # the two together, as both weigh on breath
        return now.free_ammonia / 0.03 + now.nitrite / 1.5 > 1.0
    if cause == "ph-crash":
        return now.ph < 6.4
    if cause == "ph-swing":
        return abs(now.ph - before.ph) > 0.5
    return True


def _measured(
    cause: str, before: Still, now: Still, rng: Rng
) -> tuple[tuple[Reading, ...], tuple[Reading, ...], Mapping[str, Kit]]:
    boxes = list(_BOX_SHARES)
    box = str(rng.choice(boxes, p=list(_BOX_SHARES.values())))
    if cause == "kit-fault" and box == "none":
        box = "drops"
    basis, faces = _BOXES.get(box, ("n", {}))
    told = rng.random() < 0.55
    taken = {q: _shows(q, face, now, basis, rng) for q, face in faces.items() if rng.random() < 0.8}
    if cause == "kit-fault":
        _spoil(taken, faces, basis, rng)
    warm: dict[str, float] = {}
    if rng.random() < _THERMOMETER:
        warm["temperature"] = float(np.round(2.0 * (now.temperature + rng.normal(0.0, 0.4))) / 2.0)
    if rng.random() < _OXYGEN:
        warm["oxygen"] = float(np.round(max(now.oxygen + rng.normal(0.0, 0.4), 0.0), 1))
    scales = tuple(_scale(q, face, basis) for q, face in faces.items())
    sort = "strip" if box == "strip" else "drop"
    kits = {box: Kit(box, sort, scales)} if told and faces else {}
    name = box if kits else None
    readings = [_reading(q, value, NOON, basis, name) for q, value in taken.items()]
    readings += [_reading(q, value, NOON, basis, None) for q, value in warm.items()]
    earlier = tuple(
        _reading(q, _shows(q, faces[q], before, basis, rng), NOON - timedelta(days=7), basis, name)
        for q in ("ph", "kh", "gh", "nitrate")
        if q in faces and rng.random() < 0.3
    )
    return tuple(readings), earlier, kits


def _spoil(
    taken: dict[str, float], faces: Mapping[str, tuple[float, ...]], basis: str, rng: Rng
) -> None:
    """One reading that alarms and has nothing to do with the water."""
    odd = str(rng.choice([q for q in _ALARMS if q in faces]))
    scale = _AS_ION.get(odd, 1.0) if basis == "ion" else 1.0
    high = [step for step in faces[odd] if step >= scale * _ALARMS[odd]]
    ends = [faces[odd][0], faces[odd][-1]] if odd == "ph" else high[-3:] or [faces[odd][-1]]
    taken[odd] = float(rng.choice(ends))


def _shows(quantity: str, face: tuple[float, ...], water: Still, basis: str, rng: Rng) -> float:
    steps = np.array(face)
    if rng.random() < _SLIP:
        return float(rng.choice(steps))
    held = {"ammonia": water.tan, "nitrate": water.nitrate + 0.5 * water.nitrite}
    level = held[quantity] if quantity in held else float(getattr(water, quantity))
    level *= _AS_ION.get(quantity, 1.0) if basis == "ion" else 1.0
    if quantity == "ph":
        seen = level + rng.normal(0.0, 0.2)
    else:
        seen = level * math.exp(rng.normal(0.0, 0.22)) + rng.normal(0.0, 0.15 * steps[1])
    return float(steps[np.abs(steps - seen).argmin()])


def _reading(quantity: str, value: float, at: datetime, basis: str, kit: str | None) -> Reading:
    shown = _on(quantity, basis)
    level = value / _AS_ION[quantity] if shown == "ion" else value
    return Reading(at, quantity, ReadingValue("exact", level, level, shown), kit=kit)


def _scale(quantity: str, face: tuple[float, ...], basis: str) -> KitScale:
    """Its steps as nitrogen, whatever its lid says."""
    shown = _on(quantity, basis)
    ratio = _AS_ION[quantity] if shown == "ion" else 1.0
    return KitScale(quantity, steps=tuple(step / ratio for step in face), basis=shown)


def _on(quantity: str, basis: str) -> str:
    return basis if quantity in _AS_ION else "none"
