"""Incidents with known causes: what happened, what their keepers see, did, remember and read.

Made from `trouble_bodies.toml` and `trouble_tanks`; see there for how far this is another view than
the program's.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from evidence.trouble_tanks import HAPPENS, IS_SO, Rng, Small, drawn, fine
from watervane.records import Kit, KitScale, Reading, ReadingValue
from watervane.records.trouble import TroubleAnswers

FILE = Path(__file__).with_name("trouble_bodies.toml")
NOW = datetime(2026, 6, 1, 21, tzinfo=UTC)
HEALTHY = "healthy"
_STEPS: Mapping[str, tuple[float, ...]] = {
    "ammonia": (0.0, 0.2, 0.4, 0.8, 1.6, 3.2, 6.0),
    "nitrite": (0.0, 0.1, 0.25, 0.5, 1.0, 2.0, 4.0),
    "nitrate": (0.0, 2.5, 5.0, 10.0, 20.0, 40.0),
    "ph": (6.0, 6.4, 6.8, 7.2, 7.6, 8.0, 8.4),
    "kh": tuple(float(n) for n in range(21)),
    "gh": tuple(float(n) for n in range(31)),
    "chlorine": (0.0, 0.1, 0.3, 0.5, 1.0, 3.0),
    "oxygen": (2.0, 4.0, 6.0, 8.0, 10.0),
    "temperature": tuple(float(n) for n in range(8, 41)),
}
_OWNED = {
    "ammonia": 0.75, "nitrite": 0.75, "nitrate": 0.6, "ph": 0.85, "temperature": 0.85,
    "kh": 0.45, "gh": 0.35, "chlorine": 0.1, "oxygen": 0.08,
}  # fmt: skip
_BEFORE = ("ph", "kh", "gh", "nitrate")
_BACKGROUND = {
    "water-change": 0.27, "filter-cleaned": 0.07, "newcomers": 0.06, "treated": 0.03,
    "gas": 0.07, "heat": 0.05, "sprayed": 0.03, "stopped": 0.02, "food-spilt": 0.01,
}  # fmt: skip
RECALLED, STRAY_SIGN, STRAY_READING = 0.9, 0.015, 0.03
_UNREAD = (
    *("parasite-signs", "bacterial-signs", "fungal-signs"),
    *("aggression", "copper", "room-poison", "gas-laden", "treatment"),
)
_BODY_ONLY = ("cloudy-white", "green-water", "film", "smell")  # of the water, not of the animals


@dataclass(frozen=True)
class Incident:
    """What truly happened, and what is told of it."""

    kind: str
    answers: TroubleAnswers
    water: Small


@cache
def bodies() -> Mapping[str, Any]:
    """The table of injuries, waters and kinds of trouble."""
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def incidents(seed: int) -> list[Incident]:
    """Three hundred, as many of each kind as the table says."""
    told = bodies()["trouble"]
    kinds = [kind for kind, each in told.items() for _ in range(each["count"])]
    return [incident(kind, np.random.default_rng([seed, n])) for n, kind in enumerate(kinds)]


def healthy(seed: int, count: int) -> list[Incident]:
    """Tanks in which nothing is wrong, of keepers who ask all the same."""
    return [incident(HEALTHY, np.random.default_rng([seed, 9, n])) for n in range(count)]


def incident(kind: str, rng: Rng) -> Incident:
    """One incident.

    Parameters
    ----------
    kind
        Of trouble, or `HEALTHY`.
    rng
        Of the draws.
    """
    quiet = {"injuries": {}, "hours": [5, 200], "age": [3, 1500], "deeds": [], "death": 0.0}
    told = bodies()["trouble"].get(kind, quiet)
    age = _log(rng, *told["age"])
    hours = _log(rng, *told["hours"])
    before, water = _waters(kind, age, hours, rng)
    strength = {
        name: rng.uniform(*span) * math.exp(rng.normal(0.0, 0.25))
        for name, span in told["injuries"].items()
    }
    done = _deeds(told, age, rng)
    signs = _signs(kind, told, strength, rng)
    while kind in _UNREAD and not signs - {"as-usual"}:  # what no kit tells must show
        signs = _signs(kind, told, strength, rng)
    readings, earlier, kits = _read(kind, before, water, rng)
    return Incident(
        kind,
        TroubleAnswers(
            see=_first_noticed(signs, rng) if signs else (),
            who=_who(told, done, strength, rng),
            since=_since(hours, rng),
            done=_remembered(done, rng),
            age_days=round(age, 1) if rng.random() < 0.85 else None,
            readings=readings,
            before=earlier,
            kits=kits,
        ),
        water,
    )


def _waters(kind: str, age: float, hours: float, rng: Rng) -> tuple[Small, Small]:
    """Of the tank before and now, drawn until it is what it is called."""
    raw = kind in ("ammonia", "nitrite")
    for _ in range(4000):
        before = drawn(rng, age, ripe=not raw)
        if not raw and not fine(before):
            continue
        now = HAPPENS[kind](before, rng, hours) if kind in HAPPENS else before
        if kind not in IS_SO or IS_SO[kind](before, now):
            return before, now
        if raw:
            age = _log(rng, *bodies()["trouble"][kind]["age"])
    raise ValueError(f"no tank comes to {kind}")


def _signs(kind: str, told: Mapping[str, Any], strength: Mapping[str, float], rng: Rng) -> set[str]:
    found: set[str] = set()
    for name, hit in strength.items():
        for sign, chance in bodies()["injury"][name].items():
            if rng.random() < min(hit * chance, 0.97):
                found.add(sign)
    for name, span in told.get("water", {}).items():
        seen = rng.uniform(*span)
        for sign, chance in bodies()["water"][name].items():
            if rng.random() < seen * chance:
                found.add(sign)
    for key, sign in (("dawn", "worse-at-dawn"), ("chasing", "chasing"),
                      ("invertebrates", "invertebrates-suffer")):  # fmt: skip
        if rng.random() < told.get(key, 0.0):
            found.add(sign)
    everything = [s for each in bodies()["seen"].values() for s in each["signs"]]
    rare = [s for s in everything if s not in ("as-usual", "deaths-all")]
    found |= {sign for sign in rare if rng.random() < STRAY_SIGN}
    found |= _deaths(told, rng)
    if not found - set(_BODY_ONLY) or (kind == "kit-fault" and len(found) < 2):
        found.add("as-usual")
    return found


def _deaths(told: Mapping[str, Any], rng: Rng) -> set[str]:
    """Of some species with so many animals each, how many die so far."""
    counts = rng.integers(2, 9, size=rng.integers(2, 5))
    worst = told["death"] * rng.uniform(0.0, 1.0)
    bears = np.exp(rng.normal(0.0, 0.7, size=len(counts)))
    dead = rng.binomial(counts, np.minimum(worst / bears, 0.95))
    if told.get("singly") and rng.random() < told["singly"]:
        return set()
    if (dead > 0).sum() >= 2 and dead.sum() >= 3:
        return {"deaths-all"}
    return {"deaths-one-species"} if dead.max() >= 2 else set()


def _noticed(signs: set[str], rng: Rng) -> tuple[str, ...]:
    found = []
    for each in bodies()["seen"].values():
        found += [s for s in each["signs"] if s in signs and rng.random() < each["chance"]]
    return tuple(found)


def _first_noticed(signs: set[str], rng: Rng) -> tuple[str, ...]:
    """What made them ask: who has noticed nothing yet looks again."""
    while not (found := _noticed(signs, rng)):
        pass
    return found


def _who(told: Mapping[str, Any], done: set[str], strength: Mapping[str, float], rng: Rng) -> str:
    """From which of the tank's species show anything; three in ten keepers do not say."""
    if rng.random() < 0.3 or not strength:
        return "" if rng.random() < 0.5 else "all"
    if rng.random() < told.get("singly", 0.0):
        new = "newcomers" in done and rng.random() < 0.25
        return "newcomers" if new else "one-animal"
    species = int(rng.integers(2, 5))
    bears = np.exp(rng.normal(0.0, 0.3, size=species))
    shows = rng.random(species) < np.minimum(1.2 * max(strength.values()) / bears, 0.97)
    if "newcomers" in done and shows.sum() == 1 and rng.random() < 0.5:
        return "newcomers"
    return "one-species" if shows.sum() == 1 else "all"


def _since(hours: float, rng: Rng) -> str:
    if rng.random() < 0.3:
        return ""
    seen = hours * rng.uniform(0.4, 1.0)
    return next(
        name
        for name, end in (("hours", 10.0), ("a-day", 36.0), ("days", 240.0), ("weeks", math.inf))
        if seen < end
    )


def _deeds(told: Mapping[str, Any], age: float, rng: Rng) -> set[str]:
    found = {deed for deed, chance in _BACKGROUND.items() if rng.random() < chance}
    if age > 200.0 and rng.random() < 0.08:
        found.add("months")
    for alternatives, chance in told["deeds"]:
        if rng.random() < chance:
            found.add(str(rng.choice(alternatives.split("|"))))
    return found


def _remembered(done: set[str], rng: Rng) -> tuple[str, ...]:
    if rng.random() < 0.2:
        return ()  # never asked, or does not know
    kept = tuple(sorted(deed for deed in done if rng.random() < RECALLED))
    return kept or ("none",)


def _read(
    kind: str, before: Small, water: Small, rng: Rng
) -> tuple[tuple[Reading, ...], tuple[Reading, ...], Mapping[str, Kit]]:
    owned = [q for q, chance in _OWNED.items() if rng.random() < chance]
    if rng.random() < 0.12 and kind != "kit-fault":
        owned = []
    if kind == "kit-fault" and not {"ammonia", "nitrite", "ph", "nitrate"} & set(owned):
        owned.append("ammonia")
    told = rng.random() < 0.5
    scales = tuple(KitScale(q, steps=_STEPS[q], basis=_basis(q)) for q in _STEPS)
    kits = {"box": Kit("box", "drop", scales)} if told else {}
    spread = rng.uniform(0.1, 0.3)
    taken = {q: _step(q, _level(q, water), spread, rng) for q in owned}
    if kind == "kit-fault":
        wrong = [q for q in ("ammonia", "nitrite", "ph", "nitrate") if q in taken]
        odd = str(rng.choice(wrong))
        alarming = {"ammonia": (1.6, 3.2, 6.0), "nitrite": (1.0, 2.0, 4.0),
                    "ph": (6.0, 8.4), "nitrate": (40.0,)}  # fmt: skip
        taken[odd] = float(rng.choice(alarming[odd]))
    now = tuple(_reading(q, v, NOW, told=told) for q, v in taken.items())
    earlier = tuple(
        _reading(q, _step(q, _level(q, before), spread, rng), NOW - timedelta(days=9), told=told)
        for q in _BEFORE
        if q in owned and rng.random() < 0.4
    )
    return now, earlier, kits


def _level(quantity: str, water: Small) -> float:
    if quantity == "ammonia":
        return water.tan
    if quantity == "nitrate":
        return water.nitrate + water.nitrite
    return float(getattr(water, quantity))


def _step(quantity: str, level: float, spread: float, rng: Rng) -> float:
    """What a coarse kit shows: an eye's error, the nearest step, now and then any step."""
    steps = np.array(_STEPS[quantity])
    if rng.random() < STRAY_READING:
        return float(rng.choice(steps))
    if quantity in ("ph", "temperature"):
        seen = level + rng.normal(0.0, 0.15 if quantity == "ph" else 0.5)
    else:
        seen = level * math.exp(rng.normal(0.0, spread)) + rng.normal(0.0, 0.15 * steps[1])
    return float(steps[np.abs(steps - seen).argmin()])


def _reading(quantity: str, value: float, at: datetime, *, told: bool) -> Reading:
    top = _STEPS[quantity][-1]
    if value >= top and quantity not in ("ph", "temperature") and not told:
        shown = ReadingValue("above", 0.8 * top, None, _basis(quantity))
    else:
        shown = ReadingValue("exact", value, value, _basis(quantity))
    return Reading(at, quantity, shown, kit="box" if told else None)


def _basis(quantity: str) -> str:
    return "n" if quantity in ("ammonia", "nitrite", "nitrate") else "none"


def _log(rng: Rng, low: float, high: float) -> float:
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def kinds_of(several: Sequence[Incident]) -> list[str]:
    """Their kinds, in order."""
    return [each.kind for each in several]
