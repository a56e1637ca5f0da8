"""Beside the way that is advised: more work that is enough, alternatives that gain something."""

from __future__ import annotations

from dataclasses import replace

from sample_today import PLANNED, sample_today

from watervane.advice import acts
from watervane.wording import step_sentences
from watervane.wording.kept_risks import gains

AT = sample_today().as_of


def test_where_more_work_would_be_enough_it_is_told_and_not_that_nothing_is() -> None:
    day = replace(sample_today(), good_enough=("acute",))
    hard = replace(
        PLANNED,
        acts=(replace(acts.change(AT, 0.35, 60.0), times=7),),
        minutes=144.0,
        chances={"acute": 0.0, "chronic": 0.02, "comfort": 0.5},
    )
    text = " ".join(step_sentences(replace(day, frontier=(PLANNED, hard))))
    assert "harm over time under the risk you accept takes far more work" in text
    assert "about 144 minutes" in text
    assert "brings harm over time" not in text
    assert "more animals or more food" not in text


def test_an_alternative_that_gains_nothing_is_none() -> None:
    same = replace(PLANNED, acts=(acts.fast(AT, 2.0),), minutes=6.0)
    assert not gains(same, PLANNED)
    rarer = replace(same, chances={**PLANNED.chances, "chronic": PLANNED.chances["chronic"] - 0.1})
    assert gains(rarer, PLANNED)
    long = replace(PLANNED, burden={"acute": 10.0, "chronic": 4.0, "comfort": 1.0})
    assert gains(replace(same, burden={**long.burden, "acute": 5.0}), long), "shorter, or less far"
    assert not gains(replace(same, burden=long.burden), long)
    day = sample_today()
    for other, told in ((same, False), (rarer, True)):
        text = " ".join(step_sentences(replace(day, runner_up=other)))
        assert ("Or: " in text) == told
