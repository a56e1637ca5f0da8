"""The next test in sentences."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from reading_ease import reading_ease
from sample_forecasts import sample_forecast

from watervane.records import NextTest, TellingTest
from watervane.wording.next_test import next_test_sentences
from watervane.wording.summary import summary

FORECAST = sample_forecast()
ABOUT = NextTest("settled", None, 2.0, 0.02)


def one(days: int, quantity: str = "nitrite", kit: str = "drop", bits: float = 0.4) -> TellingTest:
    return TellingTest(FORECAST.as_of + timedelta(days=days), quantity, kit, bits, 0.01)


def said(told: NextTest | None) -> str:
    return " ".join(next_test_sentences(replace(FORECAST, next_test=told)))


def test_nothing_is_said_where_nothing_was_looked_for() -> None:
    assert said(None) == ""


def test_the_test_its_day_and_what_it_narrows() -> None:
    text = said(replace(ABOUT, best=one(4), range_now_days=14.2, range_after_days=8.7))
    assert (
        "Test nitrite on the evening of Monday 16 March: that would teach most about when" in text
    )
    assert "span 14 days; after it, 9 on average" in text


def test_it_stands_in_the_summary() -> None:
    told = replace(ABOUT, best=one(1), range_now_days=14.0, range_after_days=9.0)
    paragraphs = summary(replace(FORECAST, next_test=told))
    assert said(told) in paragraphs
    assert "Test nitrite tomorrow: that would" in said(told)


def test_a_gain_that_does_not_show_in_days_is_not_sold_as_one() -> None:
    text = said(replace(ABOUT, best=one(0), range_now_days=14.2, range_after_days=13.8))
    assert "Test nitrite today: that would" in text
    assert "hardly narrow" in text


def test_the_best_of_the_first_evening_and_how_much_of_the_gain_it_has() -> None:
    told = replace(ABOUT, best=one(6), soonest=one(0, "ammonia", bits=0.19))
    assert "Of the tests today, ammonia would tell most, about 50 % as much." in said(told)
    little = replace(told, soonest=one(0, "ammonia", bits=0.04))
    assert "Of the tests" not in said(little)


def test_the_kit_is_named_only_where_another_tests_the_same() -> None:
    alone = replace(ABOUT, best=one(3), ranked=(one(3), one(3, "ph")))
    assert "drop" not in said(alone)
    beside = replace(ABOUT, best=one(3), ranked=(one(3), one(5, kit="cell")))
    assert "nitrite with the kit drop" in said(beside)


def test_danger_names_its_level_and_how_often_a_guess_is_wrong() -> None:
    told = NextTest("danger", "nitrite_above_0.6_mg_n_per_l", 0.9, 0.02, best=one(1, "ph"))
    text = said(replace(told, wrong_now=0.3, wrong_after=0.12))
    assert "Test pH tomorrow: that would" in text
    assert "danger within seven days, here nitrite over 0.6 mg N/L." in text
    assert "wrong in 30 now; after it, in 12 on average" in text
    same = said(replace(told, wrong_now=0.08, wrong_after=0.08))
    assert "stay the same, wrong in 8 of 100" in same


def test_no_test_is_praised_where_none_teaches() -> None:
    assert "than chance does" in said(ABOUT)
    assert "no open question" in said(replace(ABOUT, open_bits=0.0))
    assert said(NextTest("danger", None, 0.0, 0.0)) == ""


def test_it_reads_easily() -> None:
    told = replace(
        ABOUT,
        best=one(6),
        soonest=one(0, "ammonia"),
        range_now_days=14.0,
        range_after_days=9.0,
    )
    assert reading_ease(said(told)) >= 55
