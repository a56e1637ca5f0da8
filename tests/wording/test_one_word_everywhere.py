"""What one screen says is gainsaid by no other, nor by the next line of its own."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sample_today import CHANGE, LIMIT, PLANNED, reading_day, sample_today

from watervane.advice import acts
from watervane.records import AtOnce, BoundedChange, Finding, ReadAlarm
from watervane.wording import act_sentence, step_sentences, verdict_sentences
from watervane.wording.calendars import step_texts
from watervane.wording.rounds import harm_beside

AT = datetime(2026, 3, 10, 18, tzinfo=UTC)


@pytest.mark.parametrize(("day", "relied_on"), [("2026-03-10", False), ("2026-03-01", True)])
def test_of_readings_left_aside_nobody_hears_that_nothing_measured_points_to_harm(
    day: str, relied_on: bool
) -> None:
    odd = Finding("day-contradicts", "caution", {"day": day, "readings": ["KH 1 dKH"]})
    plain = sample_today()
    told = replace(
        plain,
        verdict=replace(plain.verdict, key="nothing-points-to-harm"),
        diagnostics=replace(plain.diagnostics, findings=(odd,)),
    )
    first = verdict_sentences(told)[0]
    assert ("Nothing measured points to harm" in first) is relied_on
    assert ("test again before you rely on it" in first) is not relied_on


def test_beside_the_steps_of_an_hour_nothing_more_is_not_told_as_nothing_at_all() -> None:
    day = replace(sample_today(), chosen=PLANNED)
    assert step_sentences(day)[0].startswith("Nothing beyond what is planned")
    hurried = replace(day, emergency=(Finding("aid-act-condition", "info", {}),))
    assert step_sentences(hurried)[0].startswith("Beyond the steps of this hour")


def test_water_too_warm_is_answered_where_the_heater_s_dial_does_nothing() -> None:
    text = act_sentence(acts.set_warmth(AT, 22.0, warmer=False))
    assert "it is stuck: unplug it" in text
    assert "lift the lid" in text


def test_the_calendar_s_reminder_tells_what_a_reading_bears() -> None:
    day = replace(sample_today(), bounded=BoundedChange("kh", 0.1, 0.35))
    title, why = step_texts("Pond room", day, CHANGE)
    assert "change 35 % of the water, but by the KH you read no more than 10 % at once" in title
    assert "10 %" in why
    assert step_texts("Pond room", sample_today(), CHANGE)[0].endswith("change 35 % of the water")
    assert step_texts("Pond room", day, acts.change(AT, 0.1, 60.0))[0].endswith("10 % of the water")


def test_rounds_tell_harm_that_a_reading_points_to_beside_one_of_buffering() -> None:
    kh = ReadAlarm("kh", 1.0, LIMIT, 1.0, 0.1)
    told = AtOnce((kh,), known=True, bounded_by="kh", most_share=0.1)
    assert harm_beside(reading_day(), told), "of ammonia, which the rounds must not hide"
    graver = replace(reading_day().verdict, key="harm-possible")
    assert harm_beside(replace(reading_day(), verdict=graver), told)
    same = replace(reading_day().verdict, alarm=kh)
    assert not harm_beside(replace(reading_day(), verdict=same), told)
    assert not harm_beside(reading_day(), replace(told, known=False))
