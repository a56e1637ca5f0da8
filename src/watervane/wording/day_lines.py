"""What a forecast says of each day, a line a day: for who moves along its time axis."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from watervane.records import Forecast, Reading
from watervane.wording.dates import weekday_date
from watervane.wording.shown import Shown, shown_series
from watervane.wording.tables import reading_of, reading_value
from watervane.wording.templates import phrase

NOON = time(12)


@dataclass(frozen=True, slots=True)
class DayLine:
    """One day: its name, its middle values with their likely ranges, and what happens on it."""

    at: datetime
    date: str
    values: str
    happened: str


def day_lines(
    forecast: Forecast,
    readings: Sequence[Reading],
    happened: Sequence[tuple[datetime, str]],
    first: date,
    *,
    basis: str = "usual",
) -> tuple[DayLine, ...]:
    """A line for each day of the forecast from ``first`` on.

    Parameters
    ----------
    forecast
        Whose values are told as they are nearest to noon.
    readings
        Those of the tank's own water are told on their days.
    happened
        When, and in a few words what.
    first
        First day to be told.
    basis
        ``usual``, ``n`` or ``ion``.
    """
    last = forecast.as_of + timedelta(days=forecast.horizon_days)
    series = shown_series(basis)
    read: dict[date, list[str]] = {}
    for reading in sorted(readings, key=lambda each: each.at):
        if not reading.of_source_water:
            text = f"{reading_of(reading)} {reading_value(reading)}"
            read.setdefault(reading.at.date(), []).append(text)
    done: dict[date, list[str]] = {}
    for at, label in happened:
        done.setdefault(at.date(), []).append(label)
    lines = []
    for place in range((last.date() - first).days + 1):
        day = first + timedelta(days=place)
        noon = datetime.combine(day, NOON, tzinfo=last.tzinfo)
        index = _nearest(forecast.times, noon)
        known = forecast.times[index].date() == day  # one kept long may begin later than its log
        values = ", ".join(_value(each, forecast, index) for each in series) if known else ""
        told = [phrase("day-read", readings=", ".join(read[day]))] if day in read else []
        if day in done:
            key = "day-planned" if day > forecast.as_of.date() else "day-happened"
            told.append(phrase(key, events=", ".join(dict.fromkeys(done[day]))))
        lines.append(
            DayLine(
                at=forecast.times[index] if known else noon,
                date=weekday_date(day, beside=forecast.as_of),
                values=phrase("day-values", values=values) if known else phrase("day-no-values"),
                happened=" ".join(told),
            )
        )
    return tuple(lines)


def _value(shown: Shown, forecast: Forecast, index: int) -> str:
    band = forecast.series[shown.key]
    return phrase(
        "day-value",
        what=shown.title if shown.quantity == "ph" else shown.title.lower(),
        amount=shown.amount(band.p50[index]),
        low=shown.value(band.p05[index]),
        high=shown.value(band.p95[index]),
    )


def _nearest(times: Sequence[datetime], moment: datetime) -> int:
    place = bisect_left(times, moment)
    near = [each for each in (place - 1, place) if 0 <= each < len(times)]
    return min(near, key=lambda each: abs(times[each] - moment))
