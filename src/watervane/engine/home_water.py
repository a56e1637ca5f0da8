"""A tank's own water as draws: as it was foretold, else as it was read, else as it is usual."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from watervane.chemistry.carbonate import ph_from_alkalinity
from watervane.chemistry.gases import co2_saturation_mg_per_l
from watervane.forecast.at_moment import quantiles_at, reaches
from watervane.kits.chance import look
from watervane.planning.travel import Water
from watervane.process.assumed import ASSUMED
from watervane.process.read_water import (
    TOLD_C_SD,
    TOLD_PH_SD,
    UNTOLD_C,
    UNTOLD_C_SD,
    latest_reading,
    newest_reading,
)
from watervane.records import QUANTILES, Forecast, Tank
from watervane.units.conversions import MEQ_PER_L_PER_DKH

Numbers = NDArray[np.float64]
FORETOLD, READ, TOLD, ASSUMED_THERE = "foretold", "read", "told", "assumed"
# An older reading of what the colonies turn over says little of today: common practice, no source.
FRESH_FOR = timedelta(days=3)
# Where a water is not told: middle and spread, as for source water (house estimates).
UNTOLD_KH_DKH, UNTOLD_KH_LOG_SD, TOLD_KH_LOG_SD = 5.0, 0.5, 0.1
SETTLED_MG_N_PER_L, SETTLED_LOG_SD = 0.02, 0.7  # of a settled tank (house estimate)
# A tank with animals holds that many times what room air would put into it (house estimate).
CO2_TIMES_LOW, CO2_TIMES_HIGH = 1.0, 6.0
MG_CO2_PER_MMOL = 44.01
LEVELS_MG_N_PER_L = np.geomspace(0.002, 60.0, 400)  # as likely a priori, each of them
_SCORES = ndtri(QUANTILES)
SERIES = {
    "ph": "ph",
    "kh": "kh_dkh",
    "temperature": "temperature_c",
    "ammonia": "ammonia_mg_n_per_l",
    "nitrite": "nitrite_mg_n_per_l",
}


@dataclass(frozen=True)
class HomeWater:
    """Draws of a tank's water, and where each quantity is from.

    Parameters
    ----------
    water
        As bags are held against it.
    nitrite_mg_n_per_l, chloride_mg_per_l
        What it holds besides.
    origins
        By ``ph``, ``kh``, ``temperature``, ``ammonia``, ``nitrite``: ``foretold``, ``read``,
        ``told`` of its source or heater, or ``assumed``.
    """

    water: Water
    nitrite_mg_n_per_l: Numbers
    chloride_mg_per_l: float
    origins: Mapping[str, str]


def home_water(
    tank: Tank,
    rng: np.random.Generator,
    draws: int,
    at: datetime | None = None,
    forecast: Forecast | None = None,
) -> HomeWater:
    """A tank's water at a moment.

    Parameters
    ----------
    tank
        With its readings.
    rng, draws
        Of all that is not known. Quantities of a forecast are drawn one by one.
    at
        The moment; that of the newest entry where left out.
    forecast
        Of this tank; one that does not reach the moment is not used, nor for what was read since.
    """
    drawn: dict[str, Numbers] = {}
    origins: dict[str, str] = {}

    def put(name: str, values: Numbers, origin: str) -> None:
        drawn[name], origins[name] = np.asarray(values), origin

    for name, series in SERIES.items():
        scores = rng.standard_normal(draws)
        read = newest_reading(tank, name)
        if forecast is not None and read is not None and read.at > forecast.as_of:
            continue  # it does not know of that reading
        foretold = _foretold(forecast, series, at, scores)
        if foretold is not None:
            put(name, foretold, FORETOLD)
    source = tank.source_water
    if "kh" not in drawn:
        middle, origin = _known(latest_reading(tank, "kh"), source.kh_dkh, UNTOLD_KH_DKH)
        spread = UNTOLD_KH_LOG_SD if origin == ASSUMED_THERE else TOLD_KH_LOG_SD
        put("kh", max(middle, 0.2) * np.exp(spread * rng.standard_normal(draws)), origin)
    if "temperature" not in drawn:
        warmth = latest_reading(tank, "temperature")
        middle, origin = _known(warmth, tank.heater_set_point_c, UNTOLD_C)
        spread = UNTOLD_C_SD if origin == ASSUMED_THERE else TOLD_C_SD
        put("temperature", middle + spread * rng.standard_normal(draws), origin)
    alkalinity = MEQ_PER_L_PER_DKH * drawn["kh"]
    if "ph" not in drawn:
        ph = latest_reading(tank, "ph")
        if ph is not None:
            put("ph", ph + TOLD_PH_SD * rng.standard_normal(draws), READ)
        else:
            put("ph", _aired_ph(alkalinity, drawn["temperature"], rng), ASSUMED_THERE)
    for name in ("ammonia", "nitrite"):
        if name not in drawn:
            put(name, *_eaten(tank, name, at, rng, draws))
    chloride = latest_reading(tank, "chloride")
    told = source.chloride_mg_per_l if chloride is None else chloride
    return HomeWater(
        Water(drawn["ph"], alkalinity, drawn["temperature"], drawn["ammonia"]),
        drawn["nitrite"],
        ASSUMED["chloride_mg_per_l"] if told is None else told,
        origins,
    )


def _foretold(
    forecast: Forecast | None, series: str, at: datetime | None, scores: Numbers
) -> Numbers | None:
    """Draws by the band of a forecast at a moment."""
    if forecast is None or at is None:
        return None
    if series not in forecast.series or not reaches(forecast, at):
        return None
    five = quantiles_at(forecast, series, at)
    inside = np.interp(scores, _SCORES, five)
    below = np.minimum(scores - _SCORES[0], 0.0) * (five[1] - five[0]) / (_SCORES[1] - _SCORES[0])
    above = np.maximum(scores - _SCORES[4], 0.0) * (five[4] - five[3]) / (_SCORES[4] - _SCORES[3])
    return np.asarray(np.maximum(inside + below + above, 0.0))


def _known(read: float | None, told: float | None, usual: float) -> tuple[float, str]:
    if read is not None:
        return read, READ
    return (usual, ASSUMED_THERE) if told is None else (told, TOLD)


def _aired_ph(alkalinity: Numbers, temperature_c: Numbers, rng: np.random.Generator) -> Numbers:
    """Of water that stands under air with animals in it; the tap's own pH airs off."""
    low, high = math.log(CO2_TIMES_LOW), math.log(CO2_TIMES_HIGH)
    times = np.exp(rng.uniform(low, high, len(alkalinity)))
    co2 = times * co2_saturation_mg_per_l(temperature_c) / MG_CO2_PER_MMOL
    carbon = alkalinity + co2  # nearly all of the rest is bicarbonate
    return np.asarray(ph_from_alkalinity(alkalinity, carbon, temperature_c))


def _eaten(
    tank: Tank, name: str, at: datetime | None, rng: np.random.Generator, draws: int
) -> tuple[Numbers, str]:
    """Draws of ammonia or nitrite by its last reading, weighed by its kit, if it is of late."""
    read = newest_reading(tank, name)
    now = at or max((each.at for each in (*tank.readings, *tank.events)), default=None)
    if read is None or now is None or read.at < now - FRESH_FOR:
        usual = SETTLED_MG_N_PER_L * np.exp(SETTLED_LOG_SD * rng.standard_normal(draws))
        return usual, ASSUMED_THERE
    seen = look(read, tank.kits.get(read.kit) if read.kit else None)
    bias = rng.standard_normal((16, 1))  # of the kit
    likely = seen.chance(LEVELS_MG_N_PER_L, bias).mean(axis=0)
    places = rng.choice(len(likely), size=draws, p=likely / likely.sum())
    return LEVELS_MG_N_PER_L[places], READ
