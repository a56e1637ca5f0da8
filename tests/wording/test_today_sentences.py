"""Today in sentences: never "safe", every act sayable, tiers apart, readable."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sample_today import CHANGE, LIMIT, PLANNED, SWING, reading_day, sample_today

from watervane.advice import acts
from watervane.app.at_once import bounded_change
from watervane.records import Act, AtOnce, BoundedChange, Finding, ReadAlarm, ToldLimit
from watervane.wording import (
    act_sentence,
    finding_text,
    hour_sentences,
    order_sentences,
    short_act,
    step_sentences,
    verdict_sentences,
    ways_table,
)
from watervane.wording.at_once import bound_sentence, step_bounded
from watervane.wording.last_entry import last_entry_sentence
from watervane.wording.pages import buys_sentences
from watervane.wording.watched import amount_text

AT = datetime(2026, 3, 10, 18, tzinfo=UTC)
KEYS = ("emergency", "harm-likely", "harm-possible", "strain-likely", "strain-possible",
        "harm-later", "out-of-range", "nothing-points-to-harm", "no-animals")  # fmt: skip
ACTS = (
    acts.change(AT, 0.25, 60.0),
    replace(acts.change(AT, 0.25, 60.0), wait_d=2.0),
    acts.change(AT, 0.25, 60.0, 7),
    acts.change(AT, 0.25, 60.0, 4, 2.0),
    acts.check(AT, 0.5, 60.0, (6, 1.0), (("ammonia", 0.5), ("nitrite", 0.1))),
    acts.check(AT, 0.5, 60.0, (3, 2.0), (("nitrite", 0.1),)),
    acts.fast(AT, 2.0),
    acts.less_food(AT, 7.0),
    acts.air(AT, 60.0),
    acts.clear(AT),
    acts.dose("condition", AT, "conditioner", 0.0),
    acts.dose("salt", AT, "sodium chloride", 5.4),
    acts.dose("buffer", AT, "sodium bicarbonate", 1.8),
    acts.zeolite(AT, 120.0),
    acts.seed(AT, 0.5),
    acts.move_out(AT, "goldfish", 2),
    acts.set_warmth(AT, 25.0, warmer=True),
    acts.set_warmth(AT, 22.0, warmer=False),
)


@pytest.mark.parametrize("key", KEYS)
def test_every_verdict_has_its_sentence_and_none_says_safe(key: str) -> None:
    today = sample_today()
    sentences = verdict_sentences(replace(today, verdict=replace(today.verdict, key=key)))
    text = " ".join(sentences).lower()
    assert "verdict" not in text, "a key without a sentence shows as itself"
    assert "{" not in text
    assert "safe" not in text


@pytest.mark.parametrize("act", ACTS, ids=lambda act: f"{act.kind}-{act.times}")
def test_every_act_can_be_said_with_its_amount(act: Act) -> None:
    for text in (act_sentence(act), short_act(act)):
        assert not text.startswith(("act-", "short-"))
        assert "{" not in text
    if act.unit == "g":
        assert f"{act.amount:g} g" in act_sentence(act)
    if act.kind == "change":
        assert "25 %" in act_sentence(act)
        assert "15 L" in act_sentence(act)


def test_figures_as_n_are_set_beside_what_a_kit_of_the_ion_shows() -> None:
    text = " ".join(verdict_sentences(sample_today()))
    assert "of nitrite (NO2) 3.3 times as much" in text
    swing = replace(SWING, quantity="nitrite", low=0.0, high=0.1)
    today = sample_today()
    none = replace(today, verdict=replace(today.verdict, swing=swing))
    assert "if it shows none the chance of harm is 4 of 20" in " ".join(verdict_sentences(none))


@pytest.mark.parametrize(
    ("quantity", "basis", "unit"),
    [
        ("kh", "none", "2.0 dKH"),
        ("ph", "none", "2.0"),
        ("temperature", "none", "2.0 °C"),
        ("nitrite", "n", "2.0 mg N/L"),
        ("nitrite", "ion", "6.6 mg/L as nitrite"),
        ("nitrite", "unknown", "6.6 mg/L"),
    ],
)
def test_what_a_reading_would_change_is_told_in_its_unit(
    quantity: str, basis: str, unit: str
) -> None:
    swing = replace(SWING, quantity=quantity, basis=basis, low=1.0, high=2.0)
    today = sample_today()
    text = " ".join(verdict_sentences(replace(today, verdict=replace(today.verdict, swing=swing))))
    assert f"at {unit} or more it is" in text


def test_steps_are_numbered_and_say_what_they_buy_and_that_they_are_a_plan() -> None:
    sentences = step_sentences(sample_today())
    assert sentences[0].startswith("1. ")
    text = " ".join(sentences)
    assert "harm at once in none (as planned: 2 of 20)" in text
    assert "not a promise" in text


def test_where_nothing_is_good_enough_it_is_said_with_the_way_out() -> None:
    bare = replace(sample_today(), good_enough=("acute",), frontier=())
    text = " ".join(step_sentences(bare))
    assert "brings harm over time under the risk you accept" in text
    assert "another home" in text


def test_doing_nothing_is_an_answer() -> None:
    today = replace(sample_today(), chosen=PLANNED)
    assert step_sentences(today)[0].startswith("Nothing beyond what is planned")
    assert order_sentences(today) == []


def test_every_change_carries_its_working_order_with_the_heater_first() -> None:
    order = order_sentences(sample_today())
    assert "heater" in order[0]
    assert "nplug" in order[0]
    assert "Count the animals" in order[-1]
    assert any("conditioner" in line for line in order)
    cooled = CHANGE.amount * (25.0 - 12.0)
    assert any(f"by {cooled:.2g}" in line for line in order)


@pytest.mark.parametrize(
    ("tap_c", "words"),
    [
        (None, "as many are in winter"),
        (15.0, "Straight from your tap, at 15.0 °C, this change would cool the tank by 3.5 °C"),
        (30.0, "Straight from your tap, at 30.0 °C, this change would warm the tank by 1.8 °C"),
        (25.0, "25.0 °C, by a thermometer"),
    ],
)
def test_the_tap_s_warmth_is_that_of_the_tank_s_own_tap(tap_c: float | None, words: str) -> None:
    assert words in order_sentences(sample_today(), tap_c)[1]


def test_the_hour_is_told_in_the_words_of_first_aid() -> None:
    from watervane.advice.emergency import CAUSES, within_the_hour

    for subject in CAUSES:
        for ph in (None, 6.2, 7.2, 8.0):
            steps = within_the_hour([subject], ph)
            lines = hour_sentences(replace(sample_today(), emergency=steps))
            assert "Dry your hands" in lines[0]
            assert "veterinarian" in lines[-1]
            assert not any("aid-" in line or "hour-" in line or "{" in line for line in lines)
    acid, alkaline = (
        hour_sentences(replace(sample_today(), emergency=within_the_hour(["ammonia"], ph)))
        for ph in (6.2, 8.0)
    )
    assert any("Your pH is under 7" in line for line in acid)
    assert any("lifts pH" in line for line in acid)
    assert not any("Your pH is under 7" in line for line in alkaline)


def test_the_table_keeps_tiers_apart() -> None:
    table = ways_table(sample_today())
    assert len(table.headers) == 5
    assert all(len(row) == 5 for row in table.rows)
    assert table.rows[0][0] == "as planned"


HARD = ToldLimit(
    "hardness_comfort_guppy", "comfort", "hardness", "gh_dgh", "below", 8.0, 24.0, "", ("guppy",),
    "zoology_memory", "", "from memory",
)  # fmt: skip


def test_hardness_nobody_told_is_said_to_be_assumed() -> None:
    day = sample_today()
    danger = replace(day.verdict.dangers[0], subject="hardness", tier="comfort", limit=HARD)
    dangers = (*day.verdict.dangers, danger)
    told = replace(day, verdict=replace(day.verdict, dangers=dangers))
    text = " ".join(verdict_sentences(told))
    assert (
        ", GH under 8 dGH (" in text
        or "and GH under 8 dGH (" in text
        or ": GH under 8 dGH (" in text
    )
    assumed = replace(told, remarks=(Finding("assumed-hardness", "info", {}),))
    assert "assumed GH under 8 dGH (14 of 20)" in " ".join(verdict_sentences(assumed))


def test_drivers_are_told_no_finer_than_kits_read() -> None:
    assert amount_text("ammonia_mg_n_per_l", 0.0017) == "0.00 mg N/L"
    assert amount_text("free_ammonia_mg_n_per_l", 0.0017) == "0.002 mg N/L"
    assert amount_text("nitrite_mg_n_per_l", 1.62) == "1.6 mg N/L"


def test_too_many_animals_are_told_with_their_chance_and_how_many_can_stay() -> None:
    told = {"chance": 0.65, "tier": "comfort", "subject": "nitrate", "animals": 26,
            "carried": 21, "too_many": 5, "food_share": 0.18, "weekly_share": 0.25}  # fmt: skip
    crowded = replace(sample_today(), stock=(Finding("too-many-animals", "caution", told),))
    sentence = next(s for s in step_sentences(crowded) if "too many" in s)
    for word in ("Nitrate", "13 of 20", "25 %", "21 of its 26", "18 %"):
        assert word in sentence, sentence


def test_a_change_made_since_a_harmful_reading_is_not_asked_for_again() -> None:
    day = reading_day()
    alarm = day.verdict.alarm
    assert alarm is not None
    before = " ".join(verdict_sentences(day))
    assert "change about 55 % of the water now" in before
    since = replace(alarm, changed_since=0.25, limit=replace(alarm.limit, tier="chronic"))
    after = " ".join(verdict_sentences(replace(day, verdict=replace(day.verdict, alarm=since))))
    assert "25 % of the water was changed" in after
    assert "test again tomorrow" in after
    assert "of the water now" not in after
    grave = replace(since, limit=replace(alarm.limit, tier="acute"))
    still = " ".join(verdict_sentences(replace(day, verdict=replace(day.verdict, alarm=grave))))
    assert "25 % of the water was changed" in still
    assert "change about 55 % of the water now" in still


def test_a_change_that_waits_for_a_test_carries_its_working_order_too() -> None:
    today = sample_today()
    assert today.chosen is not None
    check = acts.check(AT, 0.5, 60.0, (3, 2.0), (("nitrite", 0.1),))
    waiting = replace(today, chosen=replace(today.chosen, acts=(check,)))
    assert order_sentences(waiting)
    assert "0.10 mg N/L (0.33 mg/L as nitrite) or more" in " ".join(step_sentences(waiting))


def test_a_reading_of_warmth_is_answered_by_what_helps_against_warmth() -> None:
    from watervane.limits import limits_for
    from watervane.limits.told import told_limit
    from watervane.limits.water import Water
    from watervane.records import ReadAlarm

    (hot,) = [
        limit
        for limit in limits_for(["guppy"])
        if (limit.quantity, limit.tier, limit.side) == ("temperature_c", "acute", "above")
    ]
    alarm = ReadAlarm("temperature", 36.0, told_limit(hot, Water(7.5, 36.0)), 1.0, 0.25)
    day = sample_today()
    said = replace(day.verdict, key="reading-harmful", leading=None, drivers=(), alarm=alarm)
    text = " ".join(verdict_sentences(replace(day, verdict=said)))
    assert "You read temperature 36 °C. If that is right it harms at once" in text
    assert "Let it cool by no more than a degree or two an hour" in text
    assert "% of the water" not in text
    assert "A kit that shows the ion" not in text


def test_where_oxygen_harms_air_comes_before_the_change_of_its_day() -> None:
    day = sample_today()
    chosen = replace(PLANNED, acts=(acts.change(AT, 0.15, 60.0, 7), acts.air(AT, 60.0)))
    day = replace(day, chosen=chosen)
    assert [place for place, _ in day.in_order] == [0, 1]
    leading = replace(day.verdict.leading, tier="acute", subject="oxygen")
    stifling = replace(day, verdict=replace(day.verdict, leading=leading))
    assert [place for place, _ in stifling.in_order] == [1, 0]
    assert step_sentences(stifling)[0].startswith("1. Run more air")


def test_where_a_line_of_no_more_work_leaves_as_few_the_caption_says_why_it_is_not_above() -> None:
    today = sample_today()
    own = today.chosen
    assert own is not None
    assert "as few of them" not in ways_table(today).caption
    rival = replace(own, acts=(acts.air(AT, 60.0),))
    beside = replace(today, frontier=(*today.frontier, rival))
    assert "as few of them" in ways_table(beside).caption


def test_a_change_that_is_put_off_is_told_with_its_day_after_what_is_done_today() -> None:
    later = replace(acts.change(AT, 0.2, 60.0), at=datetime(2026, 3, 12, 18, tzinfo=UTC), wait_d=2)
    day = replace(sample_today(), chosen=replace(PLANNED, acts=(later, acts.fast(AT, 2.0))))
    steps = step_sentences(day)
    assert steps[0].startswith("1. Give no food")
    assert steps[1].startswith("2. On Thursday 12 March, change 20 % of the water (12 L)")
    assert short_act(later) == "20 % on Thu 12 Mar"


def test_more_water_than_a_reading_of_buffering_bears_is_told_beside_the_steps() -> None:
    kh = AtOnce((ReadAlarm("kh", 1.0, LIMIT, 1.0, 0.1),), bounded_by="kh", most_share=0.1)
    bounded = bounded_change(kh, sample_today())
    assert bounded == BoundedChange("kh", 0.1, 0.35)
    told = bound_sentence(bounded)
    assert "By the KH you read, change no more than 10 % of the water at once" in told
    assert "not the 35 % told here" in told
    assert "no more than 10 % of the water at once, not 35 %" in step_bounded(CHANGE, bounded)
    assert not step_bounded(acts.fast(AT, 2.0), bounded), "which brings no new water"
    assert bounded_change(AtOnce(), sample_today()) is None
    gentle = replace(sample_today(), chosen=replace(PLANNED, acts=(acts.change(AT, 0.1, 60.0),)))
    assert bounded_change(kh, gentle) is None
    assert bounded_change(kh, None) is None
    harmful = reading_day()
    assert harmful.verdict.alarm is not None
    nitrite = replace(harmful.verdict.alarm, quantity="nitrite", share=0.55, after="")
    asking = replace(harmful, verdict=replace(harmful.verdict, alarm=nitrite), chosen=None)
    assert bounded_change(kh, asking) == BoundedChange("kh", 0.1, 0.55), "the verdict asks for it"
    assert bound_sentence(None) == step_bounded(CHANGE, None) == ""


def test_a_judgement_of_a_day_that_is_over_says_so_and_how_to_ask_for_now() -> None:
    assert not last_entry_sentence(AT, AT + timedelta(hours=5))
    assert "its last entry, a day ago" in last_entry_sentence(AT, AT + timedelta(hours=7))
    told = last_entry_sentence(AT, AT + timedelta(days=5))
    assert "5 days ago" in told
    assert "--at 2026-03-15" in told


def test_of_a_past_without_readings_nobody_hears_what_none_taught() -> None:
    at = {"at": AT, "readings": 0}
    assert "0" not in finding_text(Finding("history-anchored", "info", at)).split(",")[1]
    some = finding_text(Finding("history-anchored", "info", at | {"readings": 9}))
    assert "its 9 readings taught" in some


def test_how_long_the_change_may_wait_is_told_where_it_may() -> None:
    assert "does not suit you" not in " ".join(step_sentences(sample_today()))
    waits = replace(sample_today(), can_wait_d=2.0)
    text = " ".join(step_sentences(waits))
    assert "the water change may wait until Thursday 12 March, as far as the risks you" in text
    assert "may wait until" in " ".join(buys_sentences(waits, AT + timedelta(days=1)))
    assert "may wait until" not in " ".join(buys_sentences(waits, AT + timedelta(days=3)))
    read_since = buys_sentences(waits, AT + timedelta(days=1), as_told=False)
    assert "may wait until" not in " ".join(read_since)


def test_what_a_reading_would_change_is_called_harm_only_where_it_is_of_harm() -> None:
    day = replace(sample_today(), verdict=replace(sample_today().verdict, swing=SWING))
    assert "the chance of harm" in " ".join(verdict_sentences(day))
    assert day.verdict.leading is not None
    mild = replace(day.verdict, leading=replace(day.verdict.leading, tier="comfort"))
    assert "the chance of discomfort" in " ".join(verdict_sentences(replace(day, verdict=mild)))


@pytest.mark.parametrize(
    ("chances", "hours"),
    [
        ({}, None),
        ({"comfort/ph_change": 0.02}, None),
        ({"comfort/ph_change": 0.3}, 2),
        ({"comfort/ph_change": 0.3, "chronic/ph_change": 0.02}, 2),
        ({"comfort/ph_change": 0.9, "chronic/ph_change": 0.2}, 4),
    ],
)
def test_where_ph_would_jump_the_water_is_poured_over_hours(
    chances: dict[str, float], hours: int | None
) -> None:
    day = sample_today()
    assert day.chosen is not None
    told = " ".join(order_sentences(replace(day, chosen=replace(day.chosen, by_subject=chances))))
    assert ("Pour it in slowly" in told) == (hours is None)
    if hours is not None:
        assert f"over {hours} hours or more" in told
        assert "of 20 of the imagined tanks" in told
    # A filter that stands while water is poured for hours loses its bacteria.
    assert ("As soon as the filter's pump lies under water" in told) == (hours is not None)
    assert ("Plug the filter in again" in told) == (hours is None)


def test_where_discomfort_is_as_likely_either_way_it_is_told_what_the_steps_ease() -> None:
    day = sample_today()
    assert day.chosen is not None
    assert day.planned is not None
    week = {"acute": 0.0, "chronic": 0.0, "comfort": 100.0}
    planned = replace(day.planned, hours=week, burden={**week, "comfort": 300.0})
    eased = replace(day.chosen, hours={**week, "comfort": 98.0}, burden={**week, "comfort": 60.0})
    told = replace(day, planned=planned, chosen=eased, good_enough=("acute", "chronic"))
    assert "beyond a limit of discomfort, it is at 1.6 times" in " ".join(step_sentences(told))
    shorter = replace(eased, hours={**week, "comfort": 40.0})
    text = " ".join(step_sentences(replace(told, chosen=shorter)))
    assert "time beyond a limit of discomfort from 100 to 40 hours" in text
    kept = replace(told, good_enough=("acute", "chronic", "comfort"))
    assert "beyond a limit" not in " ".join(step_sentences(kept))
