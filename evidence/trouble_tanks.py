"""Small tanks of mass balances by the hour, to put incidents into.

Nothing of the program's model, chemistry or tables of trouble is used: colonies grow and saturate,
breath is set against the surface, changes mix, by textbook formulas from memory. Incidents of
`trouble_incidents` happen to such a tank, and its water is what their keepers read.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

Rng = np.random.Generator
STEP_H = 2.0
AIR_CO2 = 0.6  # mg/L in water at rest with air
CO2_PER_O2 = 1.1  # mg given off for each mg breathed


@dataclass(frozen=True)
class Tap:
    """Water from the tap."""

    kh: float
    gh: float
    chloride: float
    chlorine: float
    temperature: float


@dataclass(frozen=True)
class Small:
    """A tank's water and what drives it; concentrations in mg/L, of nitrogen as N."""

    tap: Tap
    load_per_d: float  # mg N/L eaten and given off a day
    first: float  # what the first colony can take, mg N/L a day
    second: float
    breath_per_h: float  # mg O2/L an hour
    surface_per_h: float
    tan: float = 0.02
    nitrite: float = 0.01
    nitrate: float = 3.0
    kh: float = 5.0
    gh: float = 8.0
    chloride: float = 30.0
    temperature: float = 25.0
    chlorine: float = 0.0
    co2_extra: float = 0.0
    oxygen_above: float = 0.0
    notes: Mapping[str, float] = field(default_factory=dict)

    @property
    def oxygen(self) -> float:
        """At rest between breath and surface. [mg/L]"""
        full = 14.6 - 0.39 * self.temperature + 0.0056 * self.temperature**2
        held = full - self.breath_per_h / self.surface_per_h
        return float(max(held * (1.0 + self.oxygen_above), 0.3))

    @property
    def co2(self) -> float:
        """The same of carbon dioxide. [mg/L]"""
        given = CO2_PER_O2 * self.breath_per_h / (0.9 * self.surface_per_h)
        return AIR_CO2 + given + self.co2_extra

    @property
    def ph(self) -> float:
        """From bicarbonate and carbon dioxide."""
        bicarbonate = max(self.kh, 0.02) * 0.357
        return 6.35 + math.log10(bicarbonate / (self.co2 / 44.0))

    @property
    def free_ammonia(self) -> float:
        """NH3-N. [mg N/L]"""
        pka = 0.09018 + 2729.92 / (self.temperature + 273.15)
        return float(self.tan / (1.0 + 10.0 ** (pka - self.ph)))


def drawn(rng: Rng, age_d: float, *, ripe: bool) -> Small:
    """A tank as it is at an age, no mishap so far.

    Parameters
    ----------
    rng
        Of the draws.
    age_d
        Days since it was filled.
    ripe
        Whether colonies came in with seeded media.
    """
    tap = Tap(
        kh=_log(rng, 1.2, 13.0),
        gh=_log(rng, 2.5, 20.0),
        chloride=_log(rng, 8.0, 100.0),
        chlorine=rng.uniform(0.3, 2.0),
        temperature=rng.uniform(8.0, 18.0),
    )
    load = _log(rng, 0.4, 2.5)
    tank = Small(
        tap=tap,
        load_per_d=load,
        first=load * (rng.uniform(2.0, 6.0) if ripe or age_d > 60 else rng.uniform(0.005, 0.05)),
        second=load * (rng.uniform(2.0, 6.0) if ripe or age_d > 60 else rng.uniform(0.002, 0.02)),
        breath_per_h=_log(rng, 0.15, 0.8),
        surface_per_h=_log(rng, 0.35, 1.5),
        kh=tap.kh,
        gh=tap.gh * rng.uniform(1.0, 1.2),
        chloride=tap.chloride,
        temperature=rng.uniform(23.0, 27.0),
    )
    if age_d <= 60.0:
        return lived(tank, age_d, change=rng.uniform(0.1, 0.3))
    weekly = rng.uniform(0.12, 0.4)
    nitrate = 7.0 * load / weekly * rng.uniform(0.5, 1.0)
    kh = max(tap.kh - 0.2 * 7.0 * load / weekly * rng.uniform(0.1, 0.5), 0.5 * tap.kh)
    calm = lived(replace(tank, nitrate=nitrate, kh=kh), 2.0, change=0.0)
    return replace(calm, gh=tap.gh * rng.uniform(1.0, 1.4))


def lived(tank: Small, days: float, *, change: float) -> Small:
    """The tank after some days; every seventh day a share of its water is changed."""
    tan, nitrite, nitrate, kh = tank.tan, tank.nitrite, tank.nitrate, tank.kh
    first, second = tank.first, tank.second
    most = 2.0 * tank.load_per_d
    for step in range(int(days * 24.0 / STEP_H)):
        part = STEP_H / 24.0
        slowed = kh / (kh + 0.25)  # colonies stall where buffering is spent
        one = min(first * slowed * tan / (tan + 0.15) * part, tan)
        two = min(second * slowed * nitrite / (nitrite + 0.15) * part, nitrite + one)
        tan += tank.load_per_d * part - one
        nitrite += one - two
        nitrate += two
        kh = max(kh - 0.4 * one + 0.2 * tank.load_per_d * part, 0.02)
        first = min(first * (1.0 + 0.4 * part * tan / (tan + 0.4)), max(first, most))
        second = min(second * (1.0 + 0.3 * part * nitrite / (nitrite + 0.4)), max(second, most))
        if change and step and step % int(168.0 / STEP_H) == 0:
            tan, nitrite, nitrate = (x * (1.0 - change) for x in (tan, nitrite, nitrate))
            kh += change * (tank.tap.kh - kh)
    return replace(
        tank, tan=tan, nitrite=nitrite, nitrate=nitrate, kh=kh, first=first, second=second
    )


def changed(tank: Small, share: float, tap: Tap) -> Small:
    """After a change of water."""

    def mix(held: float, new: float) -> float:
        return held + share * (new - held)

    return replace(
        tank,
        tan=mix(tank.tan, 0.0),
        nitrite=mix(tank.nitrite, 0.0),
        nitrate=mix(tank.nitrate, 1.0),
        kh=mix(tank.kh, tap.kh),
        gh=mix(tank.gh, tap.gh),
        chloride=mix(tank.chloride, tap.chloride),
        temperature=mix(tank.temperature, tap.temperature),
    )


def _log(rng: Rng, low: float, high: float) -> float:
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def _stopped(tank: Small, rng: Rng, hours: float) -> Small:
    left = rng.uniform(0.1, 0.4)
    still = replace(
        tank,
        first=tank.first * left,
        second=tank.second * left,
        surface_per_h=tank.surface_per_h * rng.uniform(0.15, 0.5),
    )
    return lived(still, hours / 24.0, change=0.0)


def _spilt(tank: Small, rng: Rng, hours: float) -> Small:
    rotten = _log(rng, 0.3, 4.0)  # mg N/L that turns to ammonia in days
    fed = lived(replace(tank, load_per_d=tank.load_per_d + rotten * 0.5), hours / 24.0, change=0.0)
    return replace(fed, breath_per_h=fed.breath_per_h + rotten * rng.uniform(0.3, 1.0))


def _dead(tank: Small, rng: Rng, hours: float) -> Small:
    rotten = _log(rng, 0.5, 5.0)
    held = lived(replace(tank, load_per_d=tank.load_per_d + rotten * 0.4), hours / 24.0, change=0.0)
    return replace(held, breath_per_h=held.breath_per_h + rotten * rng.uniform(0.05, 0.3))


def _chlorine(tank: Small, rng: Rng, hours: float) -> Small:
    share, bound = rng.uniform(0.25, 0.8), rng.random() < 0.5
    warm = replace(tank.tap, temperature=rng.uniform(20.0, 26.0))
    after = changed(tank, share, warm)
    lost = math.exp(-(0.03 if bound else rng.uniform(0.1, 0.5)) * hours)
    gone = share * tank.tap.chlorine * (1.0 - lost)
    tan = after.tan + (gone * 14.0 / 71.0 if bound else 0.0)
    return replace(
        after,
        chlorine=share * tank.tap.chlorine * lost,
        tan=tan,
        notes={"at first": share * tank.tap.chlorine},
    )


def _other_water(tank: Small, rng: Rng, *, minerals: bool) -> Small:
    factor = _log(rng, 3.0, 9.0)
    factor = factor if rng.random() < 0.5 else 1.0 / factor
    other = replace(
        tank.tap,
        kh=tank.kh * (factor**0.5 if minerals else factor),
        gh=tank.gh * (factor if minerals else factor**0.4),
        chloride=tank.chloride * factor**0.5,
        temperature=tank.temperature - rng.uniform(0.0, 2.0),
    )
    return changed(tank, rng.uniform(0.5, 1.0), other)


def _neglected(tank: Small, rng: Rng) -> Small:
    boiled = rng.uniform(1.2, 3.0)
    return replace(
        tank,
        nitrate=tank.nitrate + _log(rng, 15.0, 90.0),
        kh=tank.kh * rng.uniform(0.1, 0.5),
        gh=tank.gh * boiled,
        chloride=tank.chloride * boiled * rng.uniform(1.0, 2.0),
    )


def _crashed(tank: Small, rng: Rng) -> Small:
    spent = replace(tank, kh=rng.uniform(0.03, 0.5), nitrate=tank.nitrate + _log(rng, 5.0, 50.0))
    return replace(spent, tan=tank.tan + tank.load_per_d * rng.uniform(0.1, 2.5))


def _suffocating(tank: Small, rng: Rng) -> Small:
    return replace(
        tank,
        surface_per_h=tank.surface_per_h * rng.uniform(0.15, 0.5),
        breath_per_h=tank.breath_per_h * rng.uniform(1.0, 2.5),
        temperature=tank.temperature + rng.uniform(0.0, 3.0),
    )


def _treated(tank: Small, rng: Rng, hours: float) -> Small:
    left = rng.uniform(0.3, 1.0)
    held = replace(
        tank,
        first=tank.first * left,
        second=tank.second * left,
        breath_per_h=tank.breath_per_h * rng.uniform(1.0, 1.8),
    )
    return lived(held, hours / 24.0, change=0.0)


def _gassy(tank: Small, rng: Rng) -> Small:
    after = changed(tank, rng.uniform(0.3, 0.6), tank.tap)
    return replace(after, chlorine=0.0, oxygen_above=rng.uniform(0.05, 0.2))


Change = Callable[[Small, Rng, float], Small]
HAPPENS: Mapping[str, Change] = {
    "chlorine": _chlorine,
    "low-oxygen": lambda t, r, _: _suffocating(t, r),
    "co2": lambda t, r, _: replace(t, co2_extra=_log(r, 30.0, 110.0)),
    "ph-crash": lambda t, r, _: _crashed(t, r),
    "ph-swing": lambda t, r, _: _other_water(t, r, minerals=False),
    "mineral-jump": lambda t, r, _: _other_water(t, r, minerals=True),
    "cold": lambda t, r, _: replace(t, temperature=r.uniform(13.0, 20.5)),
    "hot": lambda t, r, _: replace(t, temperature=r.uniform(30.0, 36.0)),
    "dead-animal": _dead,
    "overfeeding": _spilt,
    "filter-stopped": _stopped,
    "colonies-lost": lambda t, r, h: lived(
        replace(t, first=t.first * r.uniform(0.02, 0.3), second=t.second * r.uniform(0.02, 0.3)),
        min(h, 170.0) / 24.0,
        change=0.0,
    ),
    "treatment": _treated,
    "old-drift": lambda t, r, _: _neglected(t, r),
    "gas-laden": lambda t, r, _: _gassy(t, r),
}
# Whether it is what it is called: the water must be able to hurt.
IS_SO: Mapping[str, Callable[[Small, Small], bool]] = {
    "ammonia": lambda _, t: t.free_ammonia > 0.03,
    "nitrite": lambda _, t: t.nitrite > 0.7 and t.free_ammonia < 0.06,
    "chlorine": lambda _, t: t.notes["at first"] > 0.1,
    "low-oxygen": lambda _, t: t.oxygen < 3.2,
    "ph-crash": lambda b, t: t.ph < 6.3 and b.ph - t.ph > 0.4,
    "ph-swing": lambda b, t: abs(b.ph - t.ph) > 0.6,
    "mineral-jump": lambda b, t: not 0.55 < t.gh / b.gh < 1.8,
    "filter-stopped": lambda _, t: t.oxygen < 5.5,
    "colonies-lost": lambda _, t: t.free_ammonia > 0.015 or t.nitrite > 1.0,
}


def fine(tank: Small) -> bool:
    """Whether nothing in the water hurts."""
    calm = tank.free_ammonia < 0.015 and tank.nitrite < 0.4 and tank.oxygen > 5.0
    return calm and 6.2 < tank.ph < 8.7 and tank.co2 < 25.0 and tank.nitrate < 25.0
