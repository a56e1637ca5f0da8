"""Other incidents: to look at faults of the reasoning by, never to report from.

Made from `trouble_other_bodies.toml`, with waters, kits, errors and keepers of its own, so that a
mend which helps here and in the set of the evidence helps for its reason and not for a table's.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from scipy.special import ndtr

from evidence.trouble_incidents import HEALTHY, Incident
from evidence.trouble_tanks import Rng
from watervane.records import Kit, KitScale, Reading, ReadingValue
from watervane.records.trouble import TroubleAnswers

TABLE = Path(__file__).with_name("trouble_other_bodies.toml")
EVENING = datetime(2026, 9, 3, 20, tzinfo=UTC)
_FACES: Mapping[str, tuple[float, ...]] = {
    "ammonia": (0.0, 0.1, 0.3, 0.6, 1.2, 2.5, 5.0),
    "nitrite": (0.0, 0.05, 0.15, 0.3, 0.6, 1.5, 3.0),
    "nitrate": (0.0, 1.0, 3.0, 6.0, 12.0, 25.0, 50.0),
    "ph": (5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 8.5),
    "kh": (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0),
    "gh": (0.0, 2.0, 4.0, 8.0, 12.0, 16.0, 25.0),
    "chlorine": (0.0, 0.05, 0.2, 0.5, 1.5),
    "oxygen": (1.0, 3.0, 5.0, 7.0, 9.0),
    "temperature": tuple(n / 2.0 for n in range(10, 81)),
}
_HAVE = {"ammonia": 0.6, "nitrite": 0.7, "nitrate": 0.65, "ph": 0.75, "temperature": 0.9,
         "kh": 0.5, "gh": 0.4, "chlorine": 0.15, "oxygen": 0.05}  # fmt: skip
_ANYWAY = {
    "water-change": 0.33,
    "filter-cleaned": 0.1,
    "newcomers": 0.09,
    "treated": 0.05,
    "gas": 0.05,
    "heat": 0.06,
    "sprayed": 0.06,
    "stopped": 0.03,
    "food-spilt": 0.02,
}
RECALL, MADE_UP, ODD_SIGN, SLIP = 0.85, 0.01, 0.02, 0.04
_MUST_SHOW = ("parasite-signs", "bacterial-signs", "fungal-signs", "aggression", "copper",
              "room-poison", "gas-laden", "treatment")  # fmt: skip
_OF_WATER = {"cloudy-white", "green-water", "film", "smell"}


@dataclass(frozen=True)
class Still:
    """Water as it stands; concentrations in mg/L, of nitrogen as N."""

    tan: float
    nitrite: float
    nitrate: float
    kh: float
    gh: float
    co2: float
    oxygen_share: float
    temperature: float
    chloride: float
    chlorine: float = 0.0

    @property
    def ph(self) -> float:
        """From bicarbonate and carbon dioxide."""
        return 6.36 + math.log10(max(self.kh, 0.02) * 0.357 * 44.0 / self.co2)

    @property
    def oxygen(self) -> float:
        """Share of a straight line through saturation at 20 and 30 degrees. [mg/L]"""
        return self.oxygen_share * (9.1 - 0.153 * (self.temperature - 20.0))

    @property
    def free_ammonia(self) -> float:
        """NH3-N. [mg N/L]"""
        pka = 9.245 - 0.0316 * (self.temperature - 25.0)
        return float(self.tan / (1.0 + 10.0 ** (pka - self.ph)))


@cache
def views() -> Mapping[str, Any]:
    """The table."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def other_incidents(seed: int, count: int) -> list[Incident]:
    """So many, of causes as often as the table says."""
    told = views()["cause"]
    often = np.array([each["often"] for each in told.values()], dtype=float)
    rng = np.random.default_rng([seed, 70])
    kinds = rng.choice(list(told), size=count, p=often / often.sum())
    return [other_incident(str(kind), np.random.default_rng([seed, 71, n]))
            for n, kind in enumerate(kinds)]  # fmt: skip


def other_healthy(seed: int, count: int) -> list[Incident]:
    """Tanks in which nothing is wrong."""
    return [other_incident(HEALTHY, np.random.default_rng([seed, 72, n])) for n in range(count)]


def other_incident(kind: str, rng: Rng) -> Incident:
    """One incident of a kind."""
    quiet = {"strains": {}, "age": [3, 1200], "hours": [5, 200], "deeds": {}, "whom": "all",
             "deadly": 0.0}  # fmt: skip
    told = views()["cause"].get(kind, quiet)
    age, hours = _between(rng, *told["age"]), _between(rng, *told["hours"])
    before, now = _waters(kind, age, rng)
    done = _did(told["deeds"], age, rng)
    attention = rng.beta(2.5, 1.8)
    while True:
        signs = _shown(kind, told, rng)
        seen = {sign for sign in sorted(signs) if rng.random() < _sees(sign, attention)}
        if seen and (kind not in _MUST_SHOW or signs - {"as-usual"}):
            break
    readings, earlier, kits = _taken(kind, before, now, rng)
    answers = TroubleAnswers(
        see=tuple(sorted(seen)),
        who=_whom(told["whom"], done, rng),
        since=_began(hours, rng),
        done=_told(done, rng),
        age_days=round(age, 1) if rng.random() < 0.7 else None,
        readings=readings,
        before=earlier,
        kits=kits,
    )
    return Incident(kind, answers, now)  # type: ignore[arg-type]  # has what the judge asks for


def _between(rng: Rng, low: float, high: float) -> float:
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def _about(rng: Rng, middle: float, spread: float) -> float:
    return float(middle * math.exp(rng.normal(0.0, spread)))


def _sees(sign: str, attention: float) -> float:
    """One who looks well sees what is plain and half of what is not."""
    return float(views()["plain"][sign] ** (1.6 - 1.2 * attention))


def _shown(kind: str, told: Mapping[str, Any], rng: Rng) -> set[str]:
    force = _about(rng, 1.0, 0.3)
    strains = {part: force * _about(rng, much, 0.25) for part, much in told["strains"].items()}
    found = set()
    for sign, each in views()["sign"].items():
        strain = sum(weight * strains.get(part, 0.0) for part, weight in each.items())
        if (strain > 0.0 and rng.random() < ndtr(1.3 * (strain - each["at"]))) or (
            rng.random() < ODD_SIGN
        ):
            found.add(sign)
    dying = ndtr(force * told["deadly"] * 1.2 - 2.0) if told["deadly"] else 0.0
    if rng.random() < dying:
        found.add("deaths-all" if told["whom"] == "all" else "deaths-one-species")
    elif rng.random() < 0.5 * dying + 0.015:
        found.add("deaths-one-species")
    if not found - _OF_WATER or (kind == "kit-fault" and len(found) < 2):
        found.add("as-usual")
    return found


def _did(deeds: Mapping[str, float], age: float, rng: Rng) -> set[str]:
    found = {deed for deed, chance in _ANYWAY.items() if rng.random() < chance}
    if age > 150.0 and rng.random() < 0.12:
        found.add("months")
    for ways, chance in deeds.items():
        if rng.random() < chance:
            found.add(str(rng.choice(ways.split("|"))))
    return found


def _told(done: set[str], rng: Rng) -> tuple[str, ...]:
    if rng.random() < 0.25:
        return ()
    named = {deed for deed in sorted(done) if rng.random() < RECALL}
    named |= {deed for deed in _ANYWAY if rng.random() < MADE_UP}
    return tuple(sorted(named)) or ("none",)


def _whom(how: str, done: set[str], rng: Rng) -> str:
    if rng.random() < 0.4:
        return ""
    chances = {
        "all": (0.72, 0.18, 0.1),
        "some": (0.4, 0.35, 0.25),
        "one": (0.12, 0.28, 0.6),
    }[how]
    told = str(rng.choice(["all", "one-species", "one-animal"], p=chances))
    new = "newcomers" in done and told != "all" and rng.random() < 0.4
    return "newcomers" if new else told


def _began(hours: float, rng: Rng) -> str:
    if rng.random() < 0.35:
        return ""
    seen = hours * rng.beta(3.0, 1.5)
    ends = {"hours": 9.0, "a-day": 40.0, "days": 200.0, "weeks": math.inf}
    return next(name for name, end in ends.items() if seen < end)


def _plain_water(rng: Rng, age: float) -> dict[str, float]:
    """Water of a tank in which nothing is wrong."""
    young = age < 45.0
    kh = _about(rng, 4.5, 0.6)
    return {
        "tan": _about(rng, 0.06 if young else 0.03, 0.7),
        "nitrite": _about(rng, 0.05 if young else 0.015, 0.8),
        "nitrate": min(_about(rng, 3.0 if young else 7.0, 0.7), 22.0),
        "kh": kh,
        "gh": kh * _about(rng, 1.6, 0.4),
        "co2": _about(rng, 3.5, 0.5),
        "oxygen_share": min(rng.normal(0.88, 0.07), 1.02),
        "temperature": rng.normal(25.0, 1.2),
        "chloride": _about(rng, 25.0, 0.6),
    }


Effect = Callable[[dict[str, float], Rng], None]


def _spoil(water: dict[str, float], rng: Rng, ammonia: float, oxygen: tuple[float, float]) -> None:
    water["tan"] += _about(rng, ammonia, 0.8)
    water["oxygen_share"] *= rng.uniform(*oxygen)
    water["co2"] *= rng.uniform(1.1, 2.4)


def _chlorinated(water: dict[str, float], rng: Rng) -> None:
    water["chlorine"] = _about(rng, 0.15, 0.9)
    if rng.random() < 0.4:
        water["tan"] += 0.2 * rng.uniform(0.3, 1.5)
    water["temperature"] -= rng.uniform(0.0, 2.0)


def _swung(water: dict[str, float], rng: Rng) -> None:
    by = _between(rng, 2.2, 7.0)
    water["kh"] *= by if rng.random() < 0.55 else 1.0 / by
    water["co2"] *= _about(rng, 1.0, 0.3)


def _hardened(water: dict[str, float], rng: Rng) -> None:
    by = _between(rng, 2.0, 5.0)
    by = by if rng.random() < 0.6 else 1.0 / by
    water["gh"] *= by
    water["kh"] *= by ** rng.uniform(0.2, 0.9)
    water["chloride"] *= by**0.6


def _soured(water: dict[str, float], rng: Rng) -> None:
    water["kh"] = rng.uniform(0.05, 0.6)
    water["co2"] *= rng.uniform(0.8, 1.6)
    water["nitrate"] += _about(rng, 15.0, 0.7)
    water["tan"] += _about(rng, 0.6, 1.0)


def _aged(water: dict[str, float], rng: Rng) -> None:
    water["nitrate"] += _about(rng, 35.0, 0.5)
    water["kh"] *= rng.uniform(0.1, 0.6)
    water["gh"] *= rng.uniform(1.2, 2.5)
    water["chloride"] *= rng.uniform(1.3, 4.0)


def _stood(water: dict[str, float], rng: Rng) -> None:
    _spoil(water, rng, 0.15, (0.25, 0.7))
    water["nitrite"] += _about(rng, 0.06, 0.8)


def _bare(water: dict[str, float], rng: Rng) -> None:
    water["tan"] += _about(rng, 1.2, 0.7)
    water["nitrite"] += _about(rng, 0.3, 1.0)


def _set(**told: Callable[[dict[str, float], Rng], float]) -> Effect:
    def effect(water: dict[str, float], rng: Rng) -> None:
        for name, value in told.items():
            water[name] = value(water, rng)

    return effect


_DOES: Mapping[str, Effect] = {
    "ammonia": _set(tan=lambda _, r: _about(r, 1.5, 0.7), nitrite=lambda _, r: _about(r, 0.1, 1.2)),
    "nitrite": _set(
        nitrite=lambda _, r: _about(r, 1.8, 0.6), tan=lambda _, r: _about(r, 0.12, 0.9)
    ),
    "chlorine": _chlorinated,
    "low-oxygen": _set(
        oxygen_share=lambda _, r: r.uniform(0.1, 0.42),
        co2=lambda w, r: w["co2"] * r.uniform(1.2, 2.8),
    ),
    "co2": _set(co2=lambda _, r: _between(r, 30.0, 100.0)),
    "ph-crash": _soured,
    "ph-swing": _swung,
    "mineral-jump": _hardened,
    "cold": _set(temperature=lambda _, r: r.uniform(14.0, 20.0)),
    "hot": _set(
        temperature=lambda _, r: r.uniform(30.0, 35.0),
        oxygen_share=lambda w, r: w["oxygen_share"] * r.uniform(0.75, 1.0),
    ),
    "dead-animal": lambda w, r: _spoil(w, r, 0.6, (0.6, 0.95)),
    "overfeeding": lambda w, r: _spoil(w, r, 0.4, (0.4, 0.85)),
    "filter-stopped": _stood,
    "colonies-lost": _bare,
    "treatment": lambda w, r: _spoil(w, r, 0.08, (0.6, 1.0)),
    "old-drift": _aged,
    "gas-laden": _set(
        oxygen_share=lambda _, r: r.uniform(1.05, 1.25),
        temperature=lambda w, r: w["temperature"] - r.uniform(1.0, 4.0),
    ),
}
_TRULY: Mapping[str, Callable[[Still, Still], bool]] = {
    "ammonia": lambda _, w: w.free_ammonia > 0.03,
    "nitrite": lambda _, w: w.nitrite > 0.6 and w.free_ammonia < 0.05,
    "low-oxygen": lambda _, w: w.oxygen < 3.3,
    "ph-crash": lambda b, w: w.ph < 6.3 and b.ph - w.ph > 0.4,
    "ph-swing": lambda b, w: abs(b.ph - w.ph) > 0.5,
    "filter-stopped": lambda _, w: w.oxygen < 5.5,
    "colonies-lost": lambda _, w: w.free_ammonia > 0.015 or w.nitrite > 1.0,
}


def _waters(kind: str, age: float, rng: Rng) -> tuple[Still, Still]:
    while True:
        plain = _plain_water(rng, age)
        before = Still(**plain)
        calm = before.free_ammonia < 0.015 and before.oxygen > 5.0 and 6.3 < before.ph < 8.6
        if not calm:
            continue
        if kind in _DOES:
            _DOES[kind](plain, rng)
        now = Still(**plain)
        if kind not in _TRULY or _TRULY[kind](before, now):
            return before, now


def _taken(
    kind: str, before: Still, now: Still, rng: Rng
) -> tuple[tuple[Reading, ...], tuple[Reading, ...], Mapping[str, Kit]]:
    have = [q for q, chance in _HAVE.items() if rng.random() < chance]
    if rng.random() < 0.15 and kind != "kit-fault":
        have = []
    if kind == "kit-fault" and not {"ammonia", "nitrite", "ph"} & set(have):
        have.append("nitrite")
    known = rng.random() < 0.6
    scales = tuple(KitScale(q, steps=face, basis=_as(q)) for q, face in _FACES.items())
    kits = {"case": Kit("case", "drop", scales)} if known else {}
    error = rng.uniform(0.1, 0.35)
    taken = {q: _looks(q, now, error, rng) for q in have}
    if kind == "kit-fault":
        wrong = str(rng.choice([q for q in ("ammonia", "nitrite", "ph") if q in taken]))
        taken[wrong] = float(rng.choice({"ammonia": (1.2, 2.5, 5.0), "nitrite": (0.6, 1.5, 3.0),
                                         "ph": (5.5, 6.0, 8.5)}[wrong]))  # fmt: skip
    name = "case" if known else None
    later = tuple(_read_off(q, value, EVENING, name) for q, value in taken.items())
    earlier = tuple(
        _read_off(q, _looks(q, before, error, rng), EVENING - timedelta(days=12), name)
        for q in ("ph", "kh", "gh", "nitrate", "temperature")
        if q in have and rng.random() < 0.35
    )
    return later, earlier, kits


def _looks(quantity: str, water: Still, error: float, rng: Rng) -> float:
    face = np.array(_FACES[quantity])
    if rng.random() < SLIP:
        return float(rng.choice(face))
    held = {"ammonia": water.tan, "nitrate": water.nitrate + 0.7 * water.nitrite}
    level = held[quantity] if quantity in held else float(getattr(water, quantity))
    if quantity in ("ph", "temperature"):
        seen = level + rng.normal(0.0, 0.2 if quantity == "ph" else 0.4)
    else:
        seen = level * math.exp(rng.normal(0.0, error)) + rng.normal(0.0, 0.2 * face[1])
    return float(face[np.abs(face - seen).argmin()])


def _read_off(quantity: str, value: float, at: datetime, kit: str | None) -> Reading:
    return Reading(at, quantity, ReadingValue("exact", value, value, _as(quantity)), kit=kit)


def _as(quantity: str) -> str:
    return "n" if quantity in ("ammonia", "nitrite", "nitrate") else "none"
