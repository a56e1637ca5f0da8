"""What a forecast made before the trouble says of the water: in place of any usual water.

The forecast is the tank's own posterior run forward, so that a reading is odd where it is odd for
this tank. It is asked as it stood before the readings and deeds that trouble is judged by. Where it
expects harm already, that is no usual water: the cause that makes it gets likelier instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import numpy as np
from scipy.special import ndtr

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.carbonate import speciate
from watervane.chemistry.carbonate_constants import carbonate_constants
from watervane.chemistry.gases import oxygen_saturation_mg_per_l
from watervane.chemistry.hardness import alkalinity_from_kh
from watervane.forecast.at_moment import quantiles_at, reaches
from watervane.records import Forecast
from watervane.records.trouble import TroubleAnswers
from watervane.reference.trouble import TroubleTables

Range = tuple[float, float]
NAMES: Mapping[str, str] = {
    "ammonia": "ammonia_mg_n_per_l",
    "free_ammonia": "free_ammonia_mg_n_per_l",
    "nitrite": "nitrite_mg_n_per_l",
    "nitrate": "nitrate_mg_n_per_l",
    "kh": "kh_dkh",
    "temperature": "temperature_c",
}
# What each of these causes is known by, and whether by much of it (or little).
HARMED_BY: Mapping[str, tuple[str, bool]] = {
    "ammonia": ("free_ammonia", True),
    "nitrite": ("nitrite", True),
    "old-drift": ("nitrate", True),
    "ph-crash": ("kh", False),
}
USUALLY = 0.1  # chance that such harm is foretold to somebody who asks; a guess
FEWEST, MOST_TIMES = 0.2, 6.0  # times the chance of the table: a forecast may be wrong, too
LEAST = {"ammonia": 0.01, "nitrite": 0.005, "nitrate": 0.3, "kh": 0.05}
_Z90 = 1.644854
_MG_PER_MMOL = 44.01


def with_forecast(answers: TroubleAnswers, forecast: Forecast, at: datetime) -> TroubleAnswers:
    """Answers with what was foretold; readings that it knew already are not counted again.

    Parameters
    ----------
    answers
        With readings of the log.
    forecast
        Made before the readings of now.
    at
        The moment of trouble, aware.
    """
    foretold = told_by_forecast(forecast, at)
    if not foretold:
        return answers
    later = tuple(each for each in answers.before if each.at > forecast.as_of)
    return replace(answers, foretold=foretold, foretold_at=forecast.as_of, before=later)


def told_by_forecast(forecast: Forecast, at: datetime) -> Mapping[str, Range]:
    """The central nine tenths of each quantity at a moment; none past the horizon."""
    if not reaches(forecast, at):
        return {}

    def band(name: str) -> Range:
        low, *_, high = quantiles_at(forecast, name, at)
        return low, max(high, low)

    found = {key: band(name) for key, name in NAMES.items() if name in forecast.series}
    for key, least in LEAST.items():
        if key in found:
            low = max(found[key][0], least)
            found[key] = low, max(found[key][1], 1.05 * low)
    if "temperature" not in found or "kh" not in found:
        return found
    warmth, kh = (sum(found[key]) / 2.0 for key in ("temperature", "kh"))
    if "ph" in forecast.series:
        low, high = band("ph")
        alkalinity = alkalinity_from_kh(max(kh, 0.05))
        shares = (speciate(carbonate_constants(warmth), ph, 1.0) for ph in (high, low))
        ends = (alkalinity * each.co2 / each.alkalinity_meq_per_l for each in shares)
        less, more = (max(_MG_PER_MMOL * float(end), 0.2) for end in ends)
        found["co2"] = less, max(more, 1.05 * less)
    if "oxygen_mg_per_l" in forecast.series:
        full = float(oxygen_saturation_mg_per_l(warmth))
        low, high = (max(end / full, 0.05) for end in band("oxygen_mg_per_l"))
        found["oxygen_share"] = low, max(high, 1.05 * low)
    return found


def beyond(foretold: Mapping[str, Range], cause: str, tables: TroubleTables) -> float:
    """Chance that the water is harmful by a cause, as foretold."""
    name, much = HARMED_BY[cause]
    if name not in foretold:
        return USUALLY
    edge, (low, high) = _edge(cause, tables), (max(end, 1e-4) for end in foretold[name])
    spread = max(np.log(high / low) / (2.0 * _Z90), 0.05)
    z = (np.log(edge) - 0.5 * np.log(low * high)) / spread
    return float(ndtr(-z) if much else ndtr(z))


def times_as_likely(foretold: Mapping[str, Range], cause: str, tables: TroubleTables) -> float:
    """How many times the chance of the table a cause has, by what was foretold."""
    if not foretold or cause not in HARMED_BY:
        return 1.0
    return min(max(beyond(foretold, cause, tables) / USUALLY, FEWEST), MOST_TIMES)


def usual_by_forecast(
    foretold: Mapping[str, Range], tables: TroubleTables
) -> tuple[tuple[str, float, float], ...]:
    """Ranges of the water without harm, to stand in for those of the table."""
    found = {name: told for name, told in foretold.items() if name != "free_ammonia"}
    for cause, (harmful, much) in HARMED_BY.items():
        free = harmful == "free_ammonia"
        name = "ammonia" if free else harmful
        edge = _edge(cause, tables) / (_free_share(foretold) if free else 1.0)
        if name not in found:
            continue
        low, high = found[name]
        if much:
            high = min(high, edge)
            found[name] = min(low, high / 2.0), high
        else:
            low = max(low, edge)
            found[name] = low, max(high, 1.5 * low)
    return tuple((name, *found[name]) for name in sorted(found))


def _free_share(foretold: Mapping[str, Range]) -> float:
    """Of ammonia, as the forecast has it."""
    if "free_ammonia" not in foretold or "ammonia" not in foretold:
        return float(free_ammonia_fraction(7.5, 25.0))
    (free_low, free_high), (low, high) = foretold["free_ammonia"], foretold["ammonia"]
    return float(min(max((free_low + free_high) / (low + high), 1e-3), 0.5))


def _edge(cause: str, tables: TroubleTables) -> float:
    """Where the harm of a cause begins: the end of its range that lies by the usual waters."""
    name, much = HARMED_BY[cause]
    told = next(each for each in tables.changed[cause] if each.quantity == name)
    return told.low if much else told.high
