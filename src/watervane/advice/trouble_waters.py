"""Waters as they may be under each cause of trouble: before it began, and now.

Drawn from the sourced ranges of `trouble_usual_waters.csv` and `trouble_waters.csv`; any water
wanders a little from before to now, so that no cause gets the credit of that. What hangs
together is worked out by chemistry: pH from buffering and carbon dioxide, oxygen from its share of
saturation, total ammonia from the free ammonia that burns gills. All causes share their draws, so
that two causes differ by what they do and not by luck.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.carbonate import ph_from_alkalinity
from watervane.chemistry.gases import oxygen_saturation_mg_per_l
from watervane.chemistry.hardness import alkalinity_from_kh
from watervane.kits.sizes import SCALES, number
from watervane.reference.trouble import AGES, Cause, WaterRange, trouble_tables

Numbers = NDArray[np.float64]
WATERS = 2000
SEED = 20_260
AGE_DAYS: Mapping[str, float] = {"new": 14.0, "young": 60.0, "grown": 365.0, "old": np.inf}
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


def age_band(days: float | None) -> str:
    """The band of an age; empty where it is not told."""
    if days is None:
        return ""
    return next(band for band, end in AGE_DAYS.items() if days < end)


def age_chances(cause: Cause, band: str) -> Mapping[str, float]:
    """How often a cause is the one, by age, one age where it is told."""
    told = {band: 1.0} if band else AGE_SHARES
    return {age: share * cause.asked[age] for age, share in told.items()}


@lru_cache(maxsize=16)
def imagined_waters(
    band: str,
    liked_c: tuple[float, float] | None,
    injected: bool,  # noqa: FBT001 - a key of the cache
    foretold: tuple[tuple[str, float, float], ...] = (),
) -> Mapping[str, Waters]:
    """Waters by cause.

    Parameters
    ----------
    band
        Age of the tank, of `AGES`; empty where not told.
    liked_c
        Warmth that suits the animals; the usual where not told. [degC]
    injected
        Whether carbon dioxide is injected.
    foretold
        The central nine tenths by quantity, in place of those of the table.
    """
    tables, found = trouble_tables(), {}
    for cause in tables.causes.values():
        draw = _Draws()
        usual = _usual(cause, band, liked_c, draw, injected=injected)
        for name, low, high in foretold:
            usual[name] = _within(WaterRange(name, "is", low, high), draw(name))
        changed = dict(usual)
        for each in tables.wander:
            _change(changed, each, draw(f"{each.quantity} wandered"), draw, liked_c)
        for each in tables.changed[cause.key]:
            _change(changed, each, draw(f"{each.quantity} changed"), draw, liked_c)
        found[cause.key] = Waters(_shown(usual), _shown(changed))
    return MappingProxyType(found)


class _Draws:
    """Uniform numbers by name, the same for every cause."""

    def __call__(self, name: str) -> Numbers:
        label = [SEED, *name.encode()]
        return np.random.default_rng(label).random(WATERS)


def _usual(
    cause: Cause,
    band: str,
    liked_c: tuple[float, float] | None,
    draw: Callable[[str], Numbers],
    *,
    injected: bool,
) -> dict[str, Numbers]:
    chances = np.array([age_chances(cause, band).get(age, 0.0) for age in AGES])
    ages = np.searchsorted(np.cumsum(chances / chances.sum())[:-1], draw("age"))
    found: dict[str, Numbers] = {}
    for number_of, age in enumerate(AGES):
        here = ages == number_of
        if not here.any():
            continue
        for each in trouble_tables().usual[age]:
            told = each
            if each.quantity == "temperature" and liked_c is not None:
                told = WaterRange("temperature", "is", *liked_c)
            if each.quantity == "co2" and injected:
                told = INJECTED_CO2
            spread = found.setdefault(each.quantity, np.zeros(WATERS))
            spread[here] = _within(told, draw(each.quantity))[here]
    return found


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


def _usual_warmth() -> tuple[float, float]:
    told = next(e for e in trouble_tables().usual["grown"] if e.quantity == "temperature")
    return told.low, told.high


def _shown(water: Mapping[str, Numbers]) -> Mapping[str, Numbers]:
    """What kits look at: nitrate lifted by nitrite, pH and oxygen by chemistry."""
    alkalinity = alkalinity_from_kh(water["kh"])
    carbon = alkalinity + water["co2"] / CO2_MG_PER_MMOL
    ph = np.asarray(ph_from_alkalinity(alkalinity, carbon, water["temperature"]))
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


READABLE = tuple(SCALES)
