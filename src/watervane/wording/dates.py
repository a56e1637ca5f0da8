"""Dates as a keeper says them: with the weekday, in the tank's own zone."""

from __future__ import annotations

from datetime import date, datetime

WEEKDAYS = (
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
)
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def day_and_month(day: date, *, beside: date | None = None) -> str:
    """``12 March``, with the year where it differs from that of ``beside``."""
    year = f" {day.year}" if beside is not None and day.year != beside.year else ""
    return f"{day.day} {MONTHS[day.month - 1]}{year}"


def weekday_date(day: date, *, beside: date | None = None) -> str:
    """``Thursday 12 March``, with the year where it differs from that of ``beside``."""
    return f"{WEEKDAYS[day.weekday()]} {day_and_month(day, beside=beside)}"


def day_and_clock(moment: date) -> str:
    """``Thu 12 Mar``, and ``Thu 12 Mar, 19:00`` where the hour is known."""
    clock = f", {moment:%H:%M}" if isinstance(moment, datetime) else ""
    return f"{short_date(moment)}{clock}"


def short_date(day: date, *, beside: date | None = None) -> str:
    """``Thu 12 Mar``, for tables and axes; with the year as in `day_and_month`."""
    year = f" {day.year}" if beside is not None and day.year != beside.year else ""
    return f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}{year}"


def tick_label(day: date, first: date, last: date) -> str:
    """``12 Mar``, with the year on an axis that runs from one year into another."""
    year = f" {day.year}" if first.year != last.year else ""
    return f"{day.day} {MONTHS[day.month - 1][:3]}{year}"


def date_range(first: date, last: date, *, beside: date | None = None) -> str:
    """``10 to 14 March`` or ``28 March to 3 April``; one date where both agree."""
    first, last = _plain(first), _plain(last)
    if first == last:
        return weekday_date(first, beside=beside)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day_and_month(last, beside=beside)}"
    return f"{day_and_month(first, beside=beside)} to {day_and_month(last, beside=beside)}"


def days_between(first: date, last: date) -> int:
    """Whole calendar days from ``first`` to ``last``. [d]"""
    return (_plain(last) - _plain(first)).days


def _plain(day: date) -> date:
    return day.date() if isinstance(day, datetime) else day
