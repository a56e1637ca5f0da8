"""Dates with their weekday, numbers without false digits, chances as twentieths."""

from datetime import date

import pytest

from watervane.wording.amounts import concentration, count, number, out_of_twenty
from watervane.wording.dates import date_range, days_between, weekday_date


def test_weekdays_are_those_of_the_calendar() -> None:
    for day in (date(2024, 2, 29), date(2026, 3, 12), date(2027, 1, 1)):
        assert weekday_date(day).split()[0] == day.strftime("%A")


def test_the_year_is_told_only_where_it_differs() -> None:
    assert weekday_date(date(2026, 3, 12), beside=date(2026, 1, 1)) == "Thursday 12 March"
    assert weekday_date(date(2027, 1, 1), beside=date(2026, 12, 1)) == "Friday 1 January 2027"


@pytest.mark.parametrize(
    ("first", "last", "text"),
    [
        (date(2026, 3, 10), date(2026, 3, 14), "10 to 14 March"),
        (date(2026, 3, 28), date(2026, 4, 3), "28 March to 3 April"),
        (date(2026, 3, 12), date(2026, 3, 12), "Thursday 12 March"),
    ],
)
def test_ranges(first: date, last: date, text: str) -> None:
    assert date_range(first, last) == text


def test_days_between_counts_calendar_days() -> None:
    assert days_between(date(2026, 2, 27), date(2026, 3, 1)) == 2


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (0.996, "1.0"), (1.46, "1.5"), (14.6, "15"), (146.0, "146"), (0.031, "0.031")],
)
def test_two_significant_digits(value: float, text: str) -> None:
    assert number(value) == text


def test_concentrations_are_never_finer_than_a_hundredth() -> None:
    assert concentration(0.0123) == "0.01"
    assert concentration(-1e-9) == "0.00"
    assert concentration(float("nan")) == "unknown"


@pytest.mark.parametrize(
    ("probability", "text"),
    [
        (0.0, "none"),
        (0.001, "fewer than 1 of 20"),
        (0.5, "10 of 20"),
        (0.95, "19 of 20"),
        (0.999, "more than 19 of 20"),
        (1.0, "all"),
    ],
)
def test_rounding_never_claims_certainty(probability: float, text: str) -> None:
    assert out_of_twenty(probability) == text


def test_counts_are_for_reading() -> None:
    assert count(412.3) == "410"
    assert count(8000) == "8,000"
    assert count(6.4) == "6"
    assert count(0.3) == "fewer than one"
