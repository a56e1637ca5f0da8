"""Waters as they may be under each cause of trouble: before it began, and now.

Drawn from the sourced ranges of `trouble_usual_waters.csv` and `trouble_waters.csv`; any water
wanders a little from before to now, so that no cause gets the credit of that. What hangs
together is worked out by chemistry: pH from buffering and carbon dioxide, oxygen from its share of
saturation, total ammonia from the free ammonia that burns gills. All causes share their draws, so
that two causes differ by what they do and not by luck.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.carbonate import ph_from_alkalinity
from watervane.chemistry.gases import oxygen_saturation_mg_per_l
from watervane.chemistry.hardness import alkalinity_from_kh
from watervane.kits.sizes import SCALES, number
from watervane.reference.trouble import AGES, Cause, WaterRange, trouble_tables

Numbers = NDArray[np.float64]
Shares = tuple[float, ...]  # one of each band of age
WATERS = 2000
SEED = 20_260
FINENESS = 10  # steps between two bands
# A tank of so many days is wholly of its band; between two it is partly of either. [d]
AGE_DAYS: Mapping[str, float] = {"new": 6.0, "young": 30.0, "grown": 150.0, "old": 900.0}
# Of those who ask and do not say how old their tank is; from memory.
AGE_SHARES: Mapping[str, float] = {"new": 0.25, "young": 0.25, "grown": 0.3, "old": 0.2}
CO2_MG_PER_MMOL = 44.01
MOST_AMMONIA = 12.0  # mg N/L: a tank whose animals still show something
INJECTED_CO2 = WaterRange("co2", "is", 12.0, 35.0)
_Z90 = 1.644854


@dataclass(frozen=True)
class Waters:
    """What kits would look at before it began and now, by quantity, shape (waters,) each."""

    before: Mapping[str, Numbers]
    now: Mapping[str, Numbers]


def age_shares(days: float | None) -> Shares:
    """How far a tank is of each band of `AGES`, by the logarithm of its age; the usual if untold.

    Bands have no edges: a tank of 15 days is hardly another than one of 13.
    """
    if days is None:
        return tuple(AGE_SHARES[age] for age in AGES)
    middles = np.log([AGE_DAYS[age] for age in AGES])
    at = np.interp(np.log(max(days, 0.1)), middles, np.arange(len(AGES)))
    found = np.maximum(1.0 - np.abs(np.arange(len(AGES)) - at), 0.0)
    return tuple(float(each) for each in np.round(FINENESS * found) / FINENESS)


def age_chances(cause: Cause, ages: Shares) -> Mapping[str, float]:
    """How often a cause is the one, by age."""
    return {age: share * cause.asked[age] for age, share in zip(AGES, ages, strict=True)}


@lru_cache(maxsize=16)
def imagined_waters(
    ages: Shares,
    liked_c: tuple[float, float] | None,
    injected: bool,  # noqa: FBT001 - a key of the cache
    foretold: tuple[tuple[str, float, float], ...] = (),
    renewed: tuple[tuple[str, float], ...] = (),
) -> Mapping[str, Waters]:
    """Waters by cause.

    Parameters
    ----------
    ages
        See `age_shares`.
    liked_c
        Warmth that suits the animals; the usual where not told. [degC]
    injected
        Whether carbon dioxide is injected.
    foretold
        The central nine tenths by quantity, in place of those of the table.
    renewed
        By cause, the chance that some of the water was changed within two days.
    """
    tables, draw, found = trouble_tables(), _Draws(), {}
    told = [age for age, share in zip(AGES, ages, strict=True) if share > 0.0]
    plain = [_usual(age, liked_c, draw, injected=injected) for age in told]
    for water in plain:
        for name, low, high in foretold:
            water[name] = _within(WaterRange(name, "is", low, high), draw(name))
    shown = [_shown(water) for water in plain]
    for cause in tables.causes.values():
        which = _ages_of(cause, ages, told, draw)
        changed = _picked(plain, which)
        for each in tables.wander:
            _change(changed, each, draw(f"{each.quantity} wandered"), draw, liked_c)
        _renew(changed, dict(renewed).get(cause.key, 0.0), draw, liked_c)
        for each in tables.changed[cause.key]:
            _change(changed, each, draw(f"{each.quantity} changed"), draw, liked_c)
        found[cause.key] = Waters(_picked(shown, which), _shown(changed))
    return MappingProxyType(found)


class _Draws:
    """Uniform numbers by name, the same for every cause."""

    def __init__(self) -> None:
        self._drawn: dict[str, Numbers] = {}

    def __call__(self, name: str) -> Numbers:
        if name not in self._drawn:
            label = [SEED, *name.encode()]
            self._drawn[name] = np.random.default_rng(label).random(WATERS)
        return self._drawn[name]


def _ages_of(
    cause: Cause, ages: Shares, told: Sequence[str], draw: Callable[[str], Numbers]
) -> NDArray[np.int64]:
    """Which of the ages each water is of, as often as the cause comes at that age."""
    often = age_chances(cause, ages)
    chances = np.array([often[age] for age in told])
    return np.searchsorted(np.cumsum(chances / chances.sum())[:-1], draw("age"))


def _picked(
    waters: Sequence[Mapping[str, Numbers]], which: NDArray[np.int64]
) -> dict[str, Numbers]:
    """Each water of the age it is."""
    rows = np.arange(WATERS)
    return {name: np.array([each[name] for each in waters])[which, rows] for name in waters[0]}


def _usual(
    age: str,
    liked_c: tuple[float, float] | None,
    draw: Callable[[str], Numbers],
    *,
    injected: bool,
) -> dict[str, Numbers]:
    """A water of an age in which ammonia and nitrite do no harm: where they do, they are causes."""
    ranges = {each.quantity: each for each in trouble_tables().usual[age]}
    if liked_c is not None:
        ranges["temperature"] = WaterRange("temperature", "is", *liked_c)
    if injected:
        ranges["co2"] = INJECTED_CO2
    found = {name: _within(told, draw(name)) for name, told in ranges.items()}
    for name, most in _harmless_most(found).items():
        found[name] = _within(ranges[name], draw(name) * _share_under(ranges[name], most))
    return found


def _harmless_most(usual: Mapping[str, Numbers]) -> Mapping[str, Numbers]:
    """Up to where ammonia and nitrite do no harm."""
    edges = {
        cause: next(e.low for e in trouble_tables().changed[cause] if e.quantity == name)
        for cause, name in (("ammonia", "free_ammonia"), ("nitrite", "nitrite"))
    }
    free = free_ammonia_fraction(_shown_ph(usual), usual["temperature"])
    return {
        "ammonia": np.asarray(edges["ammonia"] / free),
        "nitrite": np.full(WATERS, edges["nitrite"]),
    }


def _share_under(told: WaterRange, most: Numbers) -> Numbers:
    """Share of a range's draws that lie under a level."""
    middle, half = np.log(told.low * told.high) / 2.0, np.log(told.high / told.low) / 2.0
    return np.asarray(ndtr(_Z90 * (np.log(most) - middle) / half))


def _within(told: WaterRange, chance: Numbers) -> Numbers:
    """Nine tenths of the draws lie in the range; log-normal, but for warmth."""
    z = ndtri(np.clip(chance, 1e-6, 1.0 - 1e-6)) / _Z90
    if told.quantity == "temperature":
        return np.asarray(0.5 * (told.low + told.high) + 0.5 * (told.high - told.low) * z)
    middle, half = np.log(told.low * told.high) / 2.0, np.log(told.high / told.low) / 2.0
    return np.asarray(np.exp(middle + half * z))


def _change(
    water: dict[str, Numbers],
    told: WaterRange,
    chance: Numbers,
    draw: Callable[[str], Numbers],
    liked_c: tuple[float, float] | None,
) -> None:
    name = told.quantity
    if told.how in ("shift", "under", "over"):
        by = told.low + (told.high - told.low) * chance
        low, high = liked_c or _usual_warmth()
        if told.how == "shift":
            water[name] = water[name] + by
        else:
            water[name] = np.asarray(low - by if told.how == "under" else high + by)
        return
    size = _within(told, chance)
    if told.how == "is":
        water[name] = size
    elif told.how == "plus":
        water[name] = water[name] + size
    elif told.how == "times":
        water[name] = water[name] * size
    else:  # apart: so many times more or less, nobody knows which
        up = draw("which way") < 0.5
        water[name] = water[name] * np.where(up, size, 1.0 / size)


def _renew(
    water: dict[str, Numbers],
    chance: float,
    draw: Callable[[str], Numbers],
    liked_c: tuple[float, float] | None,
) -> None:
    """What a change of water does to it, in as many of the waters as one was made in."""
    if chance <= 0.0:
        return
    fresh, made = dict(water), draw("water was changed") < chance
    for each in trouble_tables().renewed:
        _change(fresh, each, draw(f"{each.quantity} renewed"), draw, liked_c)
        water[each.quantity] = np.where(made, fresh[each.quantity], water[each.quantity])


def _usual_warmth() -> tuple[float, float]:
    told = next(e for e in trouble_tables().usual["grown"] if e.quantity == "temperature")
    return told.low, told.high


def _shown(water: Mapping[str, Numbers]) -> Mapping[str, Numbers]:
    """What kits look at: nitrate lifted by nitrite, pH and oxygen by chemistry."""
    ph = _shown_ph(water)
    ammonia = water["ammonia"]
    if "free_ammonia" in water:
        share = free_ammonia_fraction(ph, water["temperature"])
        ammonia = np.minimum(water["free_ammonia"] / share, MOST_AMMONIA)
    held = {name: water[name] for name in ("nitrite", "kh", "gh", "co2", "temperature")}
    return MappingProxyType(
        {
            **held,
            "ammonia": np.asarray(ammonia),
            "nitrate": water["nitrate"] + number("nitrite_lift") * water["nitrite"],
            "ph": ph,
            "oxygen": np.minimum(water["oxygen_share"], 1.3)
            * oxygen_saturation_mg_per_l(water["temperature"]),
            "chlorine": water["chlorine"],
            "chloride": water["chloride"],
        }
    )


def _shown_ph(water: Mapping[str, Numbers]) -> Numbers:
    alkalinity = alkalinity_from_kh(water["kh"])
    carbon = alkalinity + water["co2"] / CO2_MG_PER_MMOL
    return np.asarray(ph_from_alkalinity(alkalinity, carbon, water["temperature"]))


READABLE = tuple(SCALES)
