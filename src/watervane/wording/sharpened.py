"""How a forecast sharpened between two days, in sentences."""

from __future__ import annotations

from watervane.records import DateQuantiles, Forecast
from watervane.wording.amounts import out_of_twenty
from watervane.wording.dates import date_range, days_between, weekday_date
from watervane.wording.milestones import horizon_end
from watervane.wording.templates import phrase


def tank_day(forecast: Forecast) -> int:
    """The day of the tank's life a forecast was made on; the day of filling is day 1. [d]"""
    return days_between(forecast.filled, forecast.as_of) + 1


def sharpened(first: Forecast, second: Forecast) -> list[str]:
    """Compare two forecasts of one tank that end on one day, the later one second."""
    subjects = {
        "the nitrite peak": (first.nitrite_peak.date, second.nitrite_peak.date),
        "settled": (first.settled.date, second.settled.date),
    }
    sentences = []
    for what, (before, after) in subjects.items():
        said = _ranges(what, before, after, first, second)
        if before.p50 is not None and after.p50 is not None:
            moved = before.p50.date() != after.p50.date()
            said.append(
                phrase(
                    "sharpened-moved" if moved else "sharpened-kept",
                    first=weekday_date(before.p50),
                    second=weekday_date(after.p50),
                )
            )
        if said:
            sentences.append(" ".join(said))
    return [*sentences, _settled_shares(first, second)]


def _settled_shares(first: Forecast, second: Forecast) -> str:
    return phrase(
        "sharpened-share",
        first_day=tank_day(first),
        second_day=tank_day(second),
        end=weekday_date(horizon_end(second)),
        first=out_of_twenty(first.settled.probability_within_horizon),
        second=out_of_twenty(second.settled.probability_within_horizon),
    )


def _ranges(
    what: str,
    before: DateQuantiles,
    after: DateQuantiles,
    first: Forecast,
    second: Forecast,
) -> list[str]:
    days: dict[str, object] = {
        "first_day": tank_day(first),
        "second_day": tank_day(second),
        "what": what,
    }
    more = second.diagnostics.readings_used - first.diagnostics.readings_used
    days["readings"] = phrase("more-reading") if more == 1 else phrase("more-readings", more=more)
    if after.p05 is None or after.p95 is None:
        return [phrase("sharpened-open", **days)] if after.p05 is not None else []
    second_range = date_range(after.p05, after.p95)
    if before.p05 is None or before.p95 is None:
        return [phrase("sharpened-closed", **days, second_range=second_range)]
    return [
        phrase(
            "sharpened-narrower",
            **days,
            first_range=date_range(before.p05, before.p95),
            second_range=second_range,
            first_width=days_between(before.p05, before.p95) + 1,
            second_width=days_between(after.p05, after.p95) + 1,
        )
    ]
