"""Score forecasts made and stored long ago on the readings taken since."""

from __future__ import annotations

import time as clock
from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from watervane.engine.later_readings import on_kit_basis, scored_readings
from watervane.engine.reading_marks import score_row
from watervane.engine.rivals import rivals
from watervane.engine.score_summaries import summaries
from watervane.engine.settled_scores import rule_mark, settled_in_readings
from watervane.engine.showable import Showable, showable
from watervane.forecast.at_moment import quantiles_at
from watervane.forecast.scores import crps_of_quantiles, place_among_quantiles
from watervane.inference.kits import RATIO_ION_TO_N
from watervane.kits.basis import basis_chances, unknown_basis
from watervane.kits.sizes import ADDITIVE, errors_of
from watervane.process.calendar import Calendar
from watervane.records import (
    OWN,
    QUANTILE_KEYS,
    QUANTILES,
    RULE,
    DateMark,
    Finding,
    Forecast,
    KitScale,
    Moment,
    ScoreRow,
    Scores,
    Tank,
)

Numbers = NDArray[np.float64]
SERIES_OF = {
    "ammonia": ("ammonia_mg_n_per_l",),
    "nitrite": ("nitrite_mg_n_per_l",),
    "nitrate": ("nitrate_mg_n_per_l", "nitrite_mg_n_per_l"),  # kits reduce the one to the other
    "ph": ("ph",),
    "kh": ("kh_dkh",),
    "oxygen": ("oxygen_mg_per_l",),
}
POINTS = 200  # a distribution is told by so many levels of equal chance
DAY = timedelta(days=1)


def score_stored(tank: Tank, stored: Sequence[Forecast]) -> Scores:
    """Score stored forecasts on the readings taken since.

    Only quantiles were stored: they are joined by straight lines and widened by the errors
    of the kit, whose steady part is taken as unknown again. There is no prior to compare with.

    Parameters
    ----------
    tank
        With the log as it is now.
    stored
        Forecasts of this tank, in any order.
    """
    begun = clock.perf_counter()
    calendar = Calendar(tank.filled, tank.time_zone)
    tank = on_kit_basis(tank)
    scored = scored_readings(tank, calendar)
    settled, reason = settled_in_readings(scored, calendar, tank.settled_levels)
    rows: list[ScoreRow] = []
    moments = []
    for forecast in sorted(stored, key=lambda f: f.as_of):
        until = forecast.as_of + forecast.horizon_days * DAY
        before = [r for r in scored if r.at <= forecast.as_of]
        for reading in scored:
            if not forecast.as_of < reading.at <= until or reading.quantity not in SERIES_OF:
                continue
            one = showable(tank, reading)
            by = {OWN: _chances(forecast, one), **rivals(before, one, calendar)}
            rows.append(score_row(forecast.as_of, one, by))
        end = min(until, scored[-1].at) if scored else until
        told = forecast.diagnostics
        moments.append(
            Moment(
                forecast.as_of,
                told.readings_used,
                told.effective_members,
                told.health,
                _dates(forecast, settled, end, calendar),
            )
        )
    at = calendar.moment
    first = moments and min(stored, key=lambda f: f.as_of).diagnostics
    return Scores(
        tank=tank.name,
        owner=tank.owner,
        made="stored",
        members=first.members if first else 0,
        seed=stored[0].seed if stored else 0,
        moments=tuple(moments),
        rows=tuple(rows),
        summaries=summaries(rows),
        settled=None if settled is None else (at(settled[0]), at(settled[1])),
        settled_reason=reason,
        seconds=clock.perf_counter() - begun,
        model_version=first.model_version if first else "",
        parameter_digest=first.parameter_digest if first else "",
        findings=(Finding("scored-from-quantiles"),),
    )


def level_points(quantiles: Sequence[float], *, additive: bool) -> Numbers:
    """Levels of equal chance from five quantiles, straight between them and on past the ends.

    Parameters
    ----------
    quantiles
        At `QUANTILES`.
    additive
        Whether the level may be negative.
    """
    told, at = np.array(QUANTILES), np.array(quantiles)
    ends = (
        at[0] - (at[1] - at[0]) / (told[1] - told[0]) * told[0],
        at[-1] + (at[-1] - at[-2]) / (told[-1] - told[-2]) * (1.0 - told[-1]),
    )
    chances = (np.arange(POINTS) + 0.5) / POINTS
    points = np.interp(chances, [0.0, *told, 1.0], [ends[0], *at, ends[1]])
    return np.asarray(points if additive else np.maximum(points, 0.0))


def _chances(forecast: Forecast, one: Showable) -> Numbers:
    quantity, kit = one.reading.quantity, one.kit
    levels = sum(
        level_points(quantiles_at(forecast, name, one.reading.at), additive=quantity in ADDITIVE)
        for name in SERIES_OF[quantity]
    )
    levels = np.asarray(levels) / one.reading.diluted
    scale = (None if kit is None else kit.scale(quantity)) or KitScale(quantity)
    errors = errors_of(one.kind, quantity, relative=scale.relative_error, floor=scale.error_floor)
    bias = errors.bias_floor if quantity in ADDITIVE else errors.bias_log_sd * levels
    spread = np.hypot(errors.spread(levels), bias)
    low, high, stray = (
        np.array([getattr(cell, name) for cell in one.cells])[:, None]
        for name in ("low", "high", "stray")
    )
    unclear = unknown_basis(one.reading) and quantity in RATIO_ION_TO_N
    ways = basis_chances(quantity) if unclear else {1.0: 1.0}
    inside = np.zeros((len(one.cells), len(levels)))
    for ratio, chance in ways.items():
        above, below = (ndtr((ratio * edge - levels) / spread) for edge in (high, low))
        inside += chance * (above - below)
    mixed = (1.0 - one.outlier_chance) * inside + one.outlier_chance * stray
    return np.asarray(mixed.mean(axis=1))


def _dates(
    forecast: Forecast,
    between: tuple[float, float] | None,
    end: datetime,
    calendar: Calendar,
) -> dict[str, DateMark]:
    told = forecast.settled
    if between is None or calendar.days(forecast.as_of) >= between[0]:
        return {}
    if told.status == "no food planned":
        return {}
    actual, last = 0.5 * (between[0] + between[1]), calendar.days(end)
    if actual > last:
        return {}
    found = [getattr(told.date, key) for key in QUANTILE_KEYS]
    days = [last if when is None else min(calendar.days(when), last) for when in found]
    return {
        OWN: DateMark(
            crps_of_quantiles(QUANTILES, days, actual),
            place_among_quantiles(QUANTILES, days, actual),
        ),
        RULE: rule_mark(actual, last),
    }
