"""The forecast as a small table of dates and numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from watervane.records import DateQuantiles, Forecast, Reading, Tank
from watervane.units import format_reading
from watervane.wording.dates import short_date
from watervane.wording.happenings import Happened
from watervane.wording.milestones import nearest_index
from watervane.wording.shown import shown_series
from watervane.wording.templates import phrase

STEPS_DAYS = (0, 1, 2, 3, 5, 7, 10, 14, 21, 28, 42, 56, 84, 112, 182, 365)

QUANTITY_NAMES = {"ph": "pH", "kh": "KH", "gh": "GH", "co2": "CO2"}


@dataclass(frozen=True, slots=True)
class NumberTable:
    """A title, a caption, headers and rows of text, all rows as long as the headers."""

    title: str
    caption: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def number_table(forecast: Forecast, *, basis: str = "usual") -> NumberTable:
    """Median and likely range (p05 to p95) of each series on chosen days.

    Days are dense at first and sparse later; the last is the horizon.
    """
    series = shown_series(basis)
    steps = [step for step in STEPS_DAYS if step < forecast.horizon_days]
    rows = []
    for step in [*steps, forecast.horizon_days]:
        at = forecast.as_of + timedelta(days=step)
        index = nearest_index(forecast, at)
        cells = [short_date(at)]
        for shown in series:
            band = forecast.series[shown.key]
            low, high = shown.value(band.p05[index]), shown.value(band.p95[index])
            cells.append(f"{shown.value(band.p50[index])} ({low}\N{EN DASH}{high})")
        rows.append(tuple(cells))
    headers = tuple(f"{shown.title} {shown.unit}".strip() for shown in series)
    caption = phrase("numbers-caption", basis=phrase(f"basis-{basis}"))
    return NumberTable("The numbers", caption, ("Date", *headers), tuple(rows))


def milestone_table(forecast: Forecast) -> NumberTable:
    """The dates of the four milestones at p05, p50 and p95."""
    no_peak, no_date = phrase("no-peak"), phrase("no-date")
    dates = (
        ("Ammonia peak", forecast.ammonia_peak.date, no_peak),
        ("Nitrite peak", forecast.nitrite_peak.date, no_peak),
        ("Settled", forecast.settled.date, no_date),
        ("Ready", forecast.ready.date, no_date),
    )
    rows = tuple((name, *_dates(date, none, forecast)) for name, date, none in dates)
    headers = ("Milestone", "Early", "Most likely", "Late")
    return NumberTable("The dates", phrase("dates-caption"), headers, rows)


def _dates(date: DateQuantiles, none: str, forecast: Forecast) -> tuple[str, str, str]:
    early, middle, late = (
        none if day is None else short_date(day, beside=forecast.as_of)
        for day in (date.p05, date.p50, date.p95)
    )
    return early, middle, late


def event_table(happened: tuple[Happened, ...]) -> NumberTable:
    """Every flagged event with its date: the words behind the flags of a picture."""
    rows = tuple((short_date(item.at), item.letter, item.label) for item in happened)
    return NumberTable("Events", phrase("events-caption"), ("Date", "Flag", "What"), rows)


def reading_table(tank: Tank, forecast: Forecast) -> NumberTable:
    """Every reading as the keeper wrote it, and whether the forecast knew it."""
    rows = tuple(
        (
            short_date(reading.at),
            reading_of(reading),
            reading_value(reading),
            "yes" if reading.at <= forecast.as_of else "no, later",
        )
        for reading in sorted(tank.readings, key=lambda reading: reading.at)
    )
    headers = ("Date", "What", "Value", "Known")
    return NumberTable("Readings", phrase("readings-caption"), headers, rows)


def reading_value(reading: Reading) -> str:
    """A reading as written; of a thinned sample what it says of the tank's own water, and how."""
    value, fold = reading.value, reading.diluted
    written = value.raw or format_reading(value, reading.quantity)
    if fold == 1.0:
        return written
    whole = replace(
        value,
        low=None if value.low is None else fold * value.low,
        high=None if value.high is None else fold * value.high,
    )
    told = {"value": format_reading(whole, reading.quantity), "fold": f"{fold:g}"}
    return phrase("reading-diluted", **told, written=written)


def reading_of(reading: Reading) -> str:
    """What was read: ``ammonia``, ``KH of the source water``."""
    name = QUANTITY_NAMES.get(reading.quantity, reading.quantity)
    return f"{name} of the source water" if reading.of_source_water else name
