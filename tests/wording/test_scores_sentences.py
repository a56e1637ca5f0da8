"""Scores are said plainly: how often right, how close, then the settled date."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from reading_ease import reading_ease
from sample_scores import late, sample_scores, stored, without_date

from watervane.records import OWN, Scores
from watervane.wording import score_sentences, score_tables

REASONS = ("settled-not-shown", "settled-gap-wide", "settled-not-fed")
SAMPLES = [sample_scores(), stored(), late(), *(without_date(reason) for reason in REASONS)]
IDS = ["replay", "stored", "late", *REASONS]


def said(scores: Scores) -> str:
    return " ".join(score_sentences(scores))


def test_coverage_comes_first_and_is_judged() -> None:
    text = said(sample_scores())
    assert "foretold 2 times, from Friday 6 March to Friday 13 March" in text
    assert (
        "Of 43 later readings, 36 fell inside the 80 % range, 22 inside the 50 % range and 39 "
        "inside the 90 % range. That is about as often as was claimed." in text
    )
    assert "ranges were too narrow" in said(sample_scores((10.0, 25.0, 30.0)))
    assert "ranges were wider" in said(sample_scores((40.0, 42.0, 43.0)))


def test_few_readings_are_not_judged() -> None:
    scores = sample_scores()
    few = tuple(replace(s, count=4, covered=(1.0, 1.0, 1.0)) for s in scores.summaries)
    assert "So few readings prove little." in said(replace(scores, summaries=few))


def test_rivals_that_win_are_named_too() -> None:
    text = said(sample_scores())
    assert "31 % closer than the forecast without readings" in text
    assert "1.4 times as far off as the last value" in text
    assert "as close as the trend" in text


def test_the_settled_date_stands_beside_the_rule() -> None:
    text = said(sample_scores())
    assert "settled within 28 to 31 March" in text
    assert "Foretold 2 times before, that date was off by 2.0 days on average" in text
    assert "the rule of four to six weeks by 8.0" in text


def test_forecasts_on_few_members_are_owned_up_to() -> None:
    assert "In 1 of 2 forecasts too few imagined tanks agreed" in said(sample_scores())


@pytest.mark.parametrize("scores", SAMPLES, ids=IDS)
def test_every_kind_of_score_reads_easily(scores: Scores) -> None:
    assert reading_ease(said(scores)) >= 55
    for paragraph in score_sentences(scores):
        assert "{" not in paragraph
        for sentence in re.split(r"[.!?:]\s", paragraph):
            assert len(sentence.split()) <= 38, sentence


@pytest.mark.parametrize("scores", SAMPLES, ids=IDS)
def test_tables_are_whole(scores: Scores) -> None:
    for table in score_tables(scores):
        assert table.rows
        assert {len(row) for row in table.rows} == {len(table.headers)}
    assert score_tables(scores)[1].rows[0][0] == "Watervane"


def test_a_quantity_without_a_rival_says_so() -> None:
    scores = sample_scores()
    alone = tuple(s for s in scores.summaries if s.forecaster == OWN or not s.quantity)
    table = score_tables(replace(scores, summaries=alone))[0]
    assert table.rows[0][-3:] == ("none", "none", "none")
