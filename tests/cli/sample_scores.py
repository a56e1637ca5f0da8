"""Invented scores, for tests of words and commands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

from sample_forecasts import moment

from watervane.records import (
    LAST_VALUE,
    OWN,
    PRIOR,
    RULE,
    TREND,
    DateMark,
    Finding,
    Mark,
    Moment,
    ScoreRow,
    Scores,
    ScoreSummary,
)

PLACE = (0.4, 0.6)


def summary_of(
    quantity: str, name: str, ratio: float | None, covered: tuple[float, ...]
) -> ScoreSummary:
    crps = 0.21 if quantity else None
    return ScoreSummary(quantity, name, 43, 0.9, crps, ratio, covered)


def settled(own: float) -> Mapping[str, DateMark]:
    return {
        OWN: DateMark(own, PLACE),
        PRIOR: DateMark(4.4, PLACE),
        RULE: DateMark(8.0, (0.0, 0.0)),
    }


def sample_scores(covered: tuple[float, ...] = (22.2, 35.6, 38.9)) -> Scores:
    """Two moments, one quantity, three rivals and a settled date."""
    ratios = {OWN: 1.0, PRIOR: 0.69, LAST_VALUE: 1.4, TREND: 1.01}
    marks = {name: Mark(0.9, 0.21, PLACE) for name in ratios}
    moments = (
        Moment(moment(5), 6, 210.0, "good", settled(2.6)),
        Moment(moment(12), 20, 12.0, "poor", settled(1.4)),
    )
    return Scores(
        tank="Reading room",
        owner="local",
        made="replay",
        members=300,
        seed=1,
        moments=moments,
        rows=tuple(
            ScoreRow(one.as_of, moment(20), "ammonia", "0.7 mg/L as N", marks, "drop")
            for one in moments
        ),
        summaries=tuple(
            summary_of(quantity, name, ratio, covered)
            for quantity in ("ammonia", "")
            for name, ratio in ratios.items()
        ),
        settled=(moment(27), moment(30)),
        settled_reason=None,
        seconds=41.0,
        model_version="0.1.0",
        parameter_digest="abc",
        findings=(Finding("readings-not-scored", arguments={"left": 2, "told": 45}),),
    )


def without_date(reason: str) -> Scores:
    """The same where the log shows no date."""
    scores = sample_scores()
    moments = tuple(replace(one, settled={}) for one in scores.moments)
    return replace(scores, settled=None, settled_reason=reason, moments=moments)


def stored() -> Scores:
    """One stored forecast, without a prior to compare with."""
    scores = sample_scores()
    return replace(
        scores,
        made="stored",
        moments=scores.moments[:1],
        rows=scores.rows[:1],
        summaries=tuple(s for s in scores.summaries if s.forecaster != PRIOR),
    )


def late() -> Scores:
    """A date is shown, but every forecast was made after it."""
    shown = replace(sample_scores(), moments=without_date("").moments)
    return replace(shown, settled=(moment(1), moment(1) + timedelta(hours=2)))
