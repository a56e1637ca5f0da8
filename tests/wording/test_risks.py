"""Watched levels are read from their keys; the emblem's marks are the chances."""

from dataclasses import replace

from sample_forecasts import moment, sample_forecast
from sample_today import LIMIT

from watervane.wording.risks import leading_week, marked_weeks, risk_sentences, watched


def test_a_level_is_read_from_its_key() -> None:
    level = watched("free_ammonia_above_0.041_mg_n_per_l")
    assert level is not None
    assert level.text == "free ammonia over 0.041 mg N/L"
    assert level.series_key == "free_ammonia_mg_n_per_l"
    acid = watched("ph_below_6")
    assert acid is not None
    assert (acid.text, acid.series_key, acid.above) == ("pH under 6", "ph", False)
    assert watched("something-else") is None


def test_twenty_marks_a_day() -> None:
    forecast = replace(sample_forecast(), risk={"ph_below_6": (0.0, 0.02, 0.5, 1.0, 0.97, 0, 0, 1)})
    (week,) = marked_weeks(forecast)
    assert [day.struck for day in week.days] == [0, 0, 10, 20, 19, 0, 0]
    assert [day.text for day in week.days][:5] == [
        "0 of 20",
        "<1 of 20",
        "10 of 20",
        "20 of 20",
        "19 of 20",
    ]


def test_the_title_says_what_the_count_under_the_marks_counts() -> None:
    risk = {"ph_below_6": (0.1,) * 7, "nitrite_above_0.6_mg_n_per_l": (0.2,) * 7}
    titles = [week.title for week in marked_weeks(replace(sample_forecast(), risk=risk))]
    assert titles == [
        "The next seven days: nitrite over 0.6 mg N/L",
        "The next seven days: pH under 6",
    ]


def test_days_are_named_by_where_most_of_their_hours_fall() -> None:
    risk = {"ph_below_6": (0.5,) * 7}
    morning = replace(sample_forecast(), as_of=moment(11), risk=risk)
    late = replace(sample_forecast(), as_of=moment(11.5), risk=risk)
    assert marked_weeks(morning)[0].days[0].label == "Thu 12"
    assert marked_weeks(late)[0].days[0].label == "Fri 13"


def test_the_likeliest_level_is_told_first_and_rare_ones_are_left_out() -> None:
    risk = {
        "ph_below_6": (0.1,) * 7,
        "nitrite_above_0.6_mg_n_per_l": (0.2, 0.7, 0.3, 0, 0, 0, 0),
        "oxygen_below_3_mg_per_l": (0.01,) * 7,
    }
    told = risk_sentences(replace(sample_forecast(), risk=risk))
    assert told[0].startswith("Nitrite is over 0.6 mg N/L in 14 of 20 imagined tanks on Friday 13")
    assert told[1].startswith("pH is under 6 in 2 of 20")
    assert not any("oxygen" in text.lower() for text in told)
    assert "test every day" in told[-1]


def test_no_likely_level_is_said_with_its_chance_and_its_names() -> None:
    (told,) = risk_sentences(replace(sample_forecast(), risk={"ph_below_6": (0.01,) * 30}))
    assert told == (
        "In the next seven days, fewer than 1 of 20 imagined tanks pass "
        "any of the watched levels: pH under 6."
    )
    assert risk_sentences(replace(sample_forecast(), risk={})) == []


def test_the_marks_may_be_of_the_limit_that_a_sentence_names() -> None:
    risk = {"ph_below_6": (0.6,) * 7, "ammonia_acute": (0.01,) * 7, "ammonia_chronic": (0.0,) * 7}
    forecast = replace(sample_forecast(), risk=risk)
    acute = replace(LIMIT, tier="acute", hours=1.0)
    slow = replace(LIMIT, hours=720.0)
    told = [leading_week(forecast, about) for about in (None, acute, slow)]
    titles = ["" if each is None else each.title for each in told]
    assert [title.rpartition(": ")[2] for title in titles] == [
        "pH under 6",
        "free ammonia over 0.041 mg N/L",
        "pH under 6",  # its mean is far from the level yet
    ]
    assert told[1] is not None
    assert told[1].days[0].text == "<1 of 20"
