"""The summary says the right thing for every state of a forecast, plainly."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from reading_ease import reading_ease
from sample_forecasts import sample_forecast, sample_poor, sample_tank

from watervane.records import (
    DateQuantiles,
    Finding,
    Forecast,
    Milestone,
    NumberQuantiles,
    Peak,
    Tank,
)
from watervane.wording import cautions, summary
from watervane.wording.milestones import milestone_sentences
from watervane.wording.sharpened import sharpened
from watervane.wording.summary import (
    assumption_sentences,
    brief_summary,
    headline,
    trust_sentences,
)
from watervane.wording.tables import milestone_table
from watervane.wording.templates import templates

NO_DATES = DateQuantiles(None, None, None, None, None)
NO_NUMBERS = NumberQuantiles(None, None, None, None, None)
STATUSES = ("ahead", "reached", "not needed", "will stall", "beyond horizon", "no food planned")


def with_status(status: str) -> Forecast:
    forecast = sample_forecast()
    date = forecast.settled.date if status in {"ahead", "reached"} else NO_DATES
    causes = {"buffering-spent": 0.61, "residual-too-high": 0.01}
    settled = Milestone(date, 0.3, status, causes=causes)
    return replace(forecast, settled=settled, ready=replace(settled))


def samples() -> list[Forecast]:
    return [sample_forecast(), sample_poor(), *(with_status(status) for status in STATUSES)]


def test_peaks_ahead_and_past() -> None:
    text = " ".join(summary(sample_forecast(day=15)))
    assert "Ammonia most likely peaked on Thursday 12 March, near 1.5 mg N/L" in text
    assert "Nitrite will most likely peak on Tuesday 24 March, near 3.2 mg N/L" in text


def test_of_peaks_long_past_nothing_is_told_and_dates_of_other_years_have_their_year() -> None:
    forecast = sample_forecast(day=15)
    years = replace(forecast, as_of=forecast.as_of.replace(year=2028))
    assert "peaked" not in " ".join([*summary(years), *headline(years)])
    assert all("2026" in cell for cell in milestone_table(years).rows[0][1:])
    assert not any("2026" in cell for cell in milestone_table(forecast).rows[0])


def test_both_bases_stand_beside_each_other() -> None:
    text = " ".join(summary(sample_forecast()))
    assert "1.5 mg N/L (1.9 mg/L as ammonium)" in text
    assert "3.2 mg N/L (11 mg/L as nitrite)" in text
    assert re.search(r"Nitrate will most likely be near \d+ mg/L as nitrate", text)


def test_the_ion_basis_can_be_asked_for() -> None:
    text = " ".join(summary(sample_forecast(), basis="ion"))
    assert "1.9 mg/L as ammonium (1.5 mg N/L)" in text


def test_a_peak_that_hardly_exists() -> None:
    forecast = sample_forecast()
    none = replace(forecast, nitrite_peak=Peak(NO_DATES, NO_NUMBERS, 0.01))
    assert "Nitrite will hardly show" in " ".join(summary(none))
    rare = replace(forecast, nitrite_peak=Peak(NO_DATES, NO_NUMBERS, 0.4))
    assert "in 12 of 20 imagined tanks" in " ".join(summary(rare))


def test_a_level_still_rising_at_the_end_is_not_called_a_peak() -> None:
    forecast = sample_forecast()
    end = forecast.as_of + timedelta(days=forecast.horizon_days)
    rising = Peak(
        DateQuantiles(end, end, end, end, end), NumberQuantiles(1.0, 2.0, 3.0, 4.0, 5.0), 1.0
    )
    text = " ".join(summary(replace(forecast, nitrite_peak=rising)))
    assert "still be rising when this forecast ends on Thursday 16 April, near 0.01 mg N/L" in text
    assert "Nitrite will most likely peak" not in text


def test_a_peak_that_many_members_never_see_says_so() -> None:
    forecast = sample_forecast()
    peak = replace(forecast.nitrite_peak, probability_exists=0.6)
    text = " ".join(summary(replace(forecast, nitrite_peak=peak)))
    assert "In 8 of 20 imagined tanks it stays under 0.1 mg N/L." in text
    assert "it stays under" not in " ".join(summary(forecast))


def test_a_peak_that_one_in_ten_never_sees_gives_its_whole_range_and_an_open_day() -> None:
    forecast = sample_forecast(day=15)
    date = replace(forecast.nitrite_peak.date, p95=None)
    value = NumberQuantiles(0.04, 0.8, 1.5, 2.2, 3.1)
    text = " ".join(summary(replace(forecast, nitrite_peak=Peak(date, value, 0.9))))
    assert "The likely range is 0.04 to 3.1 mg N/L; the day is open." in text
    assert "In 2 of 20 imagined tanks it stays under 0.1 mg N/L." in text


def test_the_table_of_dates_tells_no_peak_from_beyond_the_forecast() -> None:
    forecast = sample_forecast()
    peak = replace(forecast.nitrite_peak, date=replace(forecast.nitrite_peak.date, p95=None))
    settled = replace(forecast.settled, date=replace(forecast.settled.date, p95=None))
    rows = milestone_table(replace(forecast, nitrite_peak=peak, settled=settled)).rows
    late = {name: cells[-1] for name, *cells in rows}
    assert late["Nitrite peak"] == "under 0.1 mg N/L"
    assert late["Settled"] == "beyond this forecast"


@pytest.mark.parametrize("status", STATUSES)
def test_settled_and_ready_are_explained_where_they_are_foretold(status: str) -> None:
    text = " ".join(summary(with_status(status)))
    explained = status not in {"not needed", "no food planned"}
    assert ("Settled means" in text) == explained
    assert ("Ready means" in text) == explained


def test_the_likely_range_is_explained_where_it_is_first_shown() -> None:
    for forecast in samples():
        (shown,) = (part for part in summary(forecast) if part.startswith("On "))
        assert "18 of 20 lie in the likely range" in shown


def test_a_range_open_at_its_far_end_says_so() -> None:
    forecast = sample_forecast()
    date = replace(forecast.settled.date, p95=None)
    text = " ".join(milestone_sentences("settled", replace(forecast.settled, date=date), forecast))
    assert "reaches past 15 April" in text or "reaches past 16 April" in text


@pytest.mark.parametrize("status", STATUSES)
@pytest.mark.parametrize("kind", ["settled", "ready"])
def test_every_status_has_its_own_sentence(kind: str, status: str) -> None:
    assert f"{kind}-{status.replace(' ', '-')}" in templates()


def test_a_stall_names_its_commonest_causes_only() -> None:
    text = " ".join(summary(with_status("will stall")))
    assert "will most likely not settle" in text
    assert "runs out of buffering" in text
    assert "12 of 20" in text
    assert "a little more ammonia" not in text


def test_too_few_members_is_the_first_thing_told() -> None:
    first = summary(sample_poor())[0]
    assert first.startswith("Take care: the 8,000 imagined tanks tried")
    assert summary(sample_forecast())[0].startswith("On Thursday 12 March")


def test_without_readings_the_summary_says_so() -> None:
    forecast = sample_forecast()
    bare = replace(forecast, diagnostics=replace(forecast.diagnostics, readings_used=0))
    assert "No readings were used" in " ".join(summary(bare))


def test_nothing_is_ever_called_safe() -> None:
    said = list(templates().values())
    for forecast in samples():
        said += summary(forecast) + assumption_sentences(forecast) + trust_sentences(forecast)
    assert not [text for text in said if re.search(r"\b(un)?safe(ly|ty)?\b", text, re.IGNORECASE)]


@pytest.mark.parametrize("forecast", samples(), ids=["good", "poor", *STATUSES])
def test_reading_ease(forecast: Forecast) -> None:
    text = " ".join(summary(forecast))
    assert reading_ease(text) >= 55


def test_sentences_stay_short() -> None:
    for forecast in samples():
        for paragraph in summary(forecast):
            for sentence in re.split(r"[.!?:]\s", paragraph):
                assert len(sentence.split()) <= 30, sentence


def test_sharpening_compares_widths() -> None:
    later = sample_forecast(day=23, horizon_days=23, sharp=0.5)
    later = replace(later, diagnostics=replace(later.diagnostics, readings_used=11))
    text = " ".join(sharpened(sample_forecast(), later))
    assert "with 3 more readings, it is" in text
    assert "Settled by Thursday 16 April: on day 12 that held for 19 of 20" in text
    assert "On day 12 the likely range for settled was" in text
    widths = [int(width) for width in re.findall(r"(\d+) days wide", text)]
    assert widths[2] > widths[3]


def test_cautions_name_animals_only_where_there_are_any() -> None:
    tank: Tank = sample_tank()
    assert any("veterinarian" in text for text in cautions(tank))
    empty = replace(tank, events=(), habits=())
    assert not any("veterinarian" in text for text in cautions(empty))


def test_a_range_of_one_value_is_not_printed_twice() -> None:
    forecast = sample_forecast()
    same = replace(forecast.ammonia_peak, value_mg_n_per_l=NumberQuantiles(*(13.0,) * 5))
    text = " ".join(summary(replace(forecast, ammonia_peak=same)))
    assert "about 13 mg N/L" in text
    assert "13 to 13" not in text


def test_tests_that_fit_no_course_are_told_of_before_any_date() -> None:
    forecast = sample_forecast()
    assert not any("fits no course" in text for text in summary(forecast))
    told = {"odd": 4, "days": 12, "quantities": ["nitrite"], "readings": []}
    finding = Finding("log-contradicts", "caution", told)
    diagnostics = replace(forecast.diagnostics, findings=(finding,))
    contradicted = replace(forecast, diagnostics=diagnostics)
    for sentences in (summary(contradicted), brief_summary(contradicted), headline(contradicted)):
        assert "4 of 12 days of tests fits no course" in sentences[0]
