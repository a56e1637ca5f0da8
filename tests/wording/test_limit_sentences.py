"""Limits in words: whom they stand for, over what time, on whose word; tiers stay apart."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sample_forecasts import sample_forecast

from watervane.exchange.limits_json import limit_documents, read_limits
from watervane.records import Forecast, ToldLimit
from watervane.wording.risks import limit_lines, marked_weeks, risk_sentences


def limit(tier: str, level: float, hours: float, **more: Any) -> ToldLimit:
    told = ToldLimit(
        key=f"nitrite_{tier}_sensitive",
        tier=tier,
        subject="nitrite",
        quantity="nitrite_mg_n_per_l",
        side="above",
        level=level,
        hours=hours,
        group="sensitive",
        animals=("guppy", "platy"),
        source="dolezelova2011",
        where="96-h LC50 of guppy",
        quality="computed",
    )
    return replace(told, **more)


LIMITS = {
    "nitrite_comfort": limit("comfort", 0.2, 720.0),
    "nitrite_chronic": limit("chronic", 1.0, 720.0, edited=True, note="so I saw"),
    "nitrite_acute": limit("acute", 3.1, 1.0),
}


def forecast(**chances: float) -> Forecast:
    risk = {f"nitrite_{tier}": (chance,) * 7 for tier, chance in chances.items()}
    return replace(sample_forecast(), risk=risk, limits=LIMITS)


def test_what_harms_at_once_comes_first_and_comfort_last_in_one_sentence() -> None:
    told = risk_sentences(forecast(comfort=1.0, chronic=0.9, acute=0.2))
    assert told[0].startswith("Nitrite is over 3.1 mg N/L in 4 of 20")
    assert told[0].endswith("That may harm at once: guppy and platy.")
    assert "over 1.0 mg N/L averaged over 30 days in 18 of 20" in told[1]
    assert told[-1] == (
        "Harmless for now, but not as they like it: "
        "nitrite over 0.20 mg N/L averaged over 30 days (all)."
    )


def test_each_tier_has_its_own_emblem_and_steady_discomfort_none() -> None:
    titles = [week.title for week in marked_weeks(forecast(comfort=1.0, chronic=0.9, acute=0.2))]
    assert len(titles) == 2
    assert "harm at once" in titles[0]
    assert "harm over time" in titles[1]


def test_every_limit_told_says_on_whose_word() -> None:
    own, other = limit_lines(forecast(chronic=0.9, acute=0.2, comfort=0.0))
    assert "your own figure (so I saw)" in own
    assert "computed from dolezelova2011, 96-h LC50 of guppy" in other


def test_limits_come_back_from_a_stored_document_as_they_were() -> None:
    assert read_limits(limit_documents(LIMITS)) == LIMITS
