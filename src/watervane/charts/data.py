"""The rows a picture is drawn from; times as the clock on the wall shows them."""

from __future__ import annotations

import math
from bisect import bisect_right
from datetime import date, datetime, timedelta
from typing import Any

from watervane.charts.level_labels import Course, headroom
from watervane.charts.picture import Panel, Picture
from watervane.charts.readings import reading_bars
from watervane.records import QUANTILE_KEYS, Forecast

MOST_TIMES = 480  # more points than this cannot be told apart on paper
PANEL_HEIGHT = 128  # [px]
MOST_TICKS = 9
TICK_STEPS_DAYS = (1, 2, 7, 14, 28, 56, 112)


def wall(moment: datetime) -> str:
    """The wall-clock time of ``moment``, labelled UTC so that no viewer shifts it."""
    return moment.replace(tzinfo=None).isoformat(timespec="seconds") + "Z"


def day_start(moment: datetime) -> datetime:
    """Midnight before ``moment``, where the time axis starts."""
    return moment.replace(hour=0, minute=0, second=0, microsecond=0)


def horizon_end(forecast: Forecast) -> datetime:
    """The last moment the forecast speaks of."""
    return forecast.as_of + timedelta(days=forecast.horizon_days)


def datasets(picture: Picture) -> dict[str, list[dict[str, Any]]]:
    """``bands``, ``readings`` and ``flags`` as rows."""
    end = horizon_end(picture.forecast)
    return {
        "bands": band_rows(picture),
        "readings": reading_rows(picture, end),
        "flags": [
            {"t": wall(flag.at), "letter": flag.letter, "label": flag.label}
            for flag in picture.flags
            if day_start(picture.begins) <= flag.at <= end
        ],
    }


def band_rows(picture: Picture) -> list[dict[str, Any]]:
    """One row a time: the five quantiles of every panel's series."""
    forecast = picture.forecast
    rows: list[dict[str, Any]] = []
    first = first_drawn(picture)
    for index in (first + place for place in thinned(len(forecast.times) - first)):
        row: dict[str, Any] = {"t": wall(forecast.times[index])}
        for panel in picture.panels:
            band = forecast.series[panel.series_key]
            for key in QUANTILE_KEYS:
                value = getattr(band, key)[index] * panel.factor
                row[f"{panel.series_key}_{key}"] = _rounded(value)
        rows.append(row)
    return rows


def reading_rows(picture: Picture, end: datetime) -> list[dict[str, Any]]:
    """One row a reading, in the unit of its panel; none beyond the picture."""
    return [
        {
            "t": wall(bar.at),
            "quantity": panel.quantity,
            "low": _rounded(bar.low * panel.factor),
            "high": _rounded(bar.high * panel.factor),
            "open": bar.open_top,
            "used": bar.used,
        }
        for panel in picture.panels
        for bar in reading_bars(picture.tank, panel.quantity, picture.forecast.as_of)
        if day_start(picture.begins) <= bar.at <= end
    ]


def first_drawn(picture: Picture) -> int:
    """Index of the first time that is drawn: the last one before the axis begins."""
    return max(0, bisect_right(picture.forecast.times, day_start(picture.begins)) - 1)


def level_domain(picture: Picture, panel: Panel) -> tuple[float, float]:
    """The levels a panel must show: the outer band, its readings and its marks."""
    band, first = picture.forecast.series[panel.series_key], first_drawn(picture)
    lows = [value * panel.factor for value in band.p05[first:] if math.isfinite(value)]
    highs = [value * panel.factor for value in band.p95[first:] if math.isfinite(value)]
    begin = day_start(picture.begins)
    for bar in reading_bars(picture.tank, panel.quantity, picture.forecast.as_of):
        if begin <= bar.at <= horizon_end(picture.forecast):
            lows.append(bar.low * panel.factor)
            highs.append(bar.high * panel.factor)
    levels = [mark.value for mark in panel.marks]
    low, high = min(lows + levels, default=0.0), max(highs + levels, default=1.0)
    if panel.from_zero:
        low, high = 0.0, max(high * 1.06, 0.05)
    else:
        margin = max(0.06 * (high - low), 0.1)
        low, high = low - margin, high + margin
    return low, headroom(levels, low, high, PANEL_HEIGHT)


def course_of(picture: Picture, panel: Panel, domain: tuple[float, float]) -> Course:
    """What a panel draws over its labels, in shares of its width and height."""
    forecast, (low, high) = picture.forecast, domain
    begin, end = day_start(picture.begins), horizon_end(picture.forecast)
    band, first = forecast.series[panel.series_key], first_drawn(picture)

    def along(moment: datetime) -> float:
        return (moment - begin) / (end - begin)

    def down(value: float) -> float:
        return (high - value * panel.factor) / (high - low)

    chosen = [
        first + place
        for place in thinned(len(forecast.times) - first)
        if math.isfinite(band.p50[first + place])
    ]
    return Course(
        x=tuple(along(forecast.times[place]) for place in chosen),
        band=tuple(
            (down(band.p95[place]), down(band.p50[place]), down(band.p05[place]))
            for place in chosen
        ),
        readings=tuple(
            (along(bar.at), down(bar.high), down(bar.low))
            for bar in reading_bars(picture.tank, panel.quantity, forecast.as_of)
            if begin <= bar.at <= end
        ),
        now=along(forecast.as_of),
    )


def thinned(length: int) -> list[int]:
    """Indices of at most ``MOST_TIMES`` evenly spread points, the last always among them."""
    step = max(1, math.ceil(length / MOST_TIMES))
    chosen = list(range(0, length, step))
    if chosen and chosen[-1] != length - 1:
        chosen.append(length - 1)
    return chosen


def tick_days(first: date, last: date) -> list[date]:
    """Days to label: every day, second day, week, ... so that few enough remain."""
    span = (last - first).days
    step = next((s for s in TICK_STEPS_DAYS if span / s <= MOST_TICKS), TICK_STEPS_DAYS[-1])
    return [first + timedelta(days=day) for day in range(0, span + 1, step)]


def _rounded(value: float) -> float | None:
    return float(f"{value:.4g}") if math.isfinite(value) else None
