"""``watervane headroom``, ``challenge`` and ``fill``: what they say, and what they refuse."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast, sample_tank
from sample_growing import FakeGrowing, sample_challenge, sample_filling, sample_headroom
from test_commands import call

from watervane import bootstrap_growing
from watervane.app import BadInput, ChallengeRequest
from watervane.records import (
    Challenge,
    DatedRoom,
    Headroom,
    LeftOver,
    OtherRisk,
    ToldLimit,
    Wish,
)
from watervane.wording.challenge import challenge_sentences, challenge_tables
from watervane.wording.filling import filling_sentences
from watervane.wording.headroom import elsewhere_sentences, headroom_sentences, level_words

FILE = "x.tank.toml"


def test_headroom_leads_with_how_many_then_why_no_more_then_later_then_the_table() -> None:
    result = call(FakePorts(), "headroom", FILE, "--species", "Danio rerio", "--length", "4 cm")
    assert result.code == 0
    words = " ".join(result.out.split())
    places = [
        words.index(text)
        for text in (
            "room now for 0.050 g more food a day: 3 more Danio rerio (4.0 cm)",
            "stands in the way first: nitrate, a limit of discomfort",
            "between 0.040 and 0.060 g",
            "7",
            "Room for more daily food",
        )
    ]
    assert places[:3] == sorted(places[:3])
    assert places[-1] == max(places)
    assert "{" not in result.out
    assert "headroom-" not in result.out


def test_a_broken_tier_is_told_with_its_share_and_what_the_others_would_leave() -> None:
    fake = FakePorts(growing=FakeGrowing(broken=True))
    words = " ".join(call(fake, "headroom", FILE).out.split())
    assert "no room for more animals now" in words
    assert "in 31 of 100 imagined tanks; you accept 20" in words
    assert "harm at once alone would leave room for 0.070 g a day (5 animals)" in words
    assert "However little is fed, hardness (GH)" in words


def test_the_accepted_risks_and_the_dates_reach_the_engine() -> None:
    fake = FakePorts()
    call(fake, "headroom", FILE, "--risk", "acute=0.5", "--risk", "comfort=50", "--days", "15")
    (request,) = fake.growing.asked
    assert request.allowed == {"acute": 0.005, "comfort": 0.5}
    assert request.weeks_ahead == (0, 1, 2)


@pytest.mark.parametrize(
    "options",
    [
        ("headroom", FILE, "--length", "4 cm"),
        ("headroom", FILE, "--species", "Danio rerio", "--length", "four"),
        ("headroom", FILE, "--risk", "acute"),
        ("fill", FILE, "--wish", "Danio rerio"),
        ("fill", FILE, "--wish", "0 Danio rerio"),
        ("fill", FILE, "--wish", "5 Danio rerio 900 cm"),
        ("fill", FILE, "--wish", "5 Danio rerio", "--days", "30"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_message(options: tuple[str, ...]) -> None:
    fake = FakePorts()
    result = call(fake, *options)
    assert result.code == 2
    assert "Traceback" not in result.err
    assert "{" not in result.err
    assert fake.growing.asked == []


def test_challenge_tells_the_work_then_what_is_foretold_then_what_it_teaches() -> None:
    words = " ".join(call(FakePorts(), "challenge", FILE).out.split())
    places = [
        words.index(text)
        for text in (
            "dose 0.16 g of ammonium chloride; that raises ammonia by 1.0 mg N/L",
            "A day later",
            "ammonia 0.40 mg N/L, nitrite 0.40 mg N/L are likeliest",
            "what the ammonia eaters carry 30 % narrower",
            "hardly tell anything of the nitrite eaters",
            "never near bleach",
        )
    ]
    assert places == sorted(places)


def test_a_tank_with_animals_is_refused_with_the_reason_and_a_way_out() -> None:
    fake = FakePorts(growing=FakeGrowing(refused="challenge-animals"))
    result = call(fake, "challenge", FILE)
    assert result.code == 2
    assert "3 Danio rerio live in the tank" in " ".join(result.err.split())


def test_fill_tells_when_who_joins_and_what_does_not_fit() -> None:
    fake = FakePorts()
    result = call(
        fake, "fill", FILE, "--wish", "6 Danio rerio 4 cm", "--wish", "8 x Corydoras paleatus"
    )
    words = " ".join(result.out.split())
    assert "Not all of it fits within 182 days" in words
    assert "19 May: 6 Danio rerio, bought on Tuesday 21 April" in words
    assert "8 Corydoras paleatus do not fit: with them, nitrate would pass" in words
    assert words.count("larger water changes, or more plants, make room here") == 1
    (request,) = fake.growing.asked
    assert [(w.species, w.count, w.length_cm) for w in request.wishes] == [
        ("Danio rerio", 6, 4.0),
        ("Corydoras paleatus", 8, None),
    ]


@pytest.mark.parametrize(
    ("options", "name"),
    [
        (("headroom", FILE), "watervane-headroom/1"),
        (("challenge", FILE), "watervane-challenge/1"),
        (("fill", FILE, "--wish", "6 Danio rerio 35 mm"), "watervane-filling/1"),
    ],
)
def test_json_is_one_document(options: tuple[str, ...], name: str) -> None:
    result = call(FakePorts(), *options, "--json")
    document = json.loads(result.out)
    assert document["format"] == name
    assert document["health"] in {"good", "thin", "poor"}
    if name == "watervane-headroom/1":
        assert document["dates"][0]["count"] == 3
        assert document["dates"][0]["tiers"]["acute"]["food_g_per_d"] == 0.07
    if name == "watervane-filling/1":
        assert document["wishes"][0]["length_cm"] == 3.5


def test_a_limit_in_the_way_is_told_with_its_level_as_n_and_as_a_kit_of_the_ion_shows_it() -> None:
    limit = ToldLimit(
        "nitrite_acute_sensitive", "acute", "nitrite", "nitrite_mg_n_per_l", "above", 3.1, 1.0,
        "sensitive", ("guppy",), "dolezelova2011", "", "computed",
    )  # fmt: skip
    assert level_words(limit) == " (over 3.1 mg N/L; a kit of the ion shows 10 mg/L as nitrite)"
    oxygen = replace(limit, quantity="oxygen_mg_per_l", side="below", level=4.0)
    assert level_words(oxygen) == " (under 4.0 mg/L)"
    free = replace(limit, quantity="free_ammonia_mg_n_per_l", level=0.041)
    assert level_words(free) == " (free ammonia over 0.041 mg N/L)", "a kit reads all of it"
    assert level_words(None) == ""


def test_what_food_does_not_move_is_one_sentence_a_subject() -> None:
    one = OtherRisk("acute", "ph", "ph_acute", ("guppy",), "zoology_memory", 0.1)
    others = (one, replace(one, tier="comfort", risk=0.9), replace(one, subject="hardness"))
    sentences = elsewhere_sentences(others)
    assert len(sentences) == 2
    assert "of harm at once in 10 and of discomfort in 90 of 100" in sentences[0]


def test_one_week_is_a_week() -> None:
    found = sample_headroom(diagnostics=sample_forecast().diagnostics)
    now, later = found.dates[0], replace(found.dates[0], weeks_ahead=1)
    text = " ".join(headroom_sentences(replace(found, dates=(now, later))))
    assert "Within a week" in text
    later = replace(later, weeks_ahead=4)
    assert "Within 4 weeks" in " ".join(headroom_sentences(replace(found, dates=(now, later))))


def _with_rooms(*counts: int) -> Headroom:
    """So many animals in successive weeks, as the tightest tier has it."""
    found = sample_headroom(diagnostics=sample_forecast().diagnostics)
    begin = found.dates[0].begins

    def dated(week: int, count: int) -> DatedRoom:
        tiers = {tier: replace(room, count=count) for tier, room in found.dates[0].tiers.items()}
        begins = begin + timedelta(weeks=week)
        return replace(found.dates[0], weeks_ahead=week, begins=begins, tiers=tiers)

    return replace(found, dates=tuple(dated(week, n) for week, n in enumerate(counts)))


def test_more_from_a_date_on_is_more_on_every_date_from_then_on() -> None:
    steady = " ".join(headroom_sentences(_with_rooms(0, 0, 3, 2)))
    assert "From Tuesday 5 May on: 2." in steady
    unsteady = " ".join(headroom_sentences(_with_rooms(0, 1, 3, 0)))
    assert " on: " not in unsteady
    assert "on others not" in unsteady


def test_fewer_from_a_date_on_is_no_matter_of_waiting() -> None:
    fewer = " ".join(headroom_sentences(_with_rooms(8, 7, 2, 0)))
    assert "From Tuesday 5 May on there is room for fewer, 2 at the most" in fewer
    assert "hardly changes by waiting" not in fewer
    assert "hardly changes by waiting" in " ".join(headroom_sentences(_with_rooms(8, 7, 8, 8)))
    for rooms in ((8, 7, 2, 8), (6, 9, 2, 7), (6, 2, 0, 6)):
        dip = " ".join(headroom_sentences(_with_rooms(*rooms)))
        assert f"room for fewer, {min(rooms)} at the most" in dip, "what is added now stays"
        assert "hardly changes" not in dip


def test_what_a_kit_of_the_ion_will_show_is_told_in_the_kits_own_figures() -> None:
    found = sample_challenge(sample_forecast().diagnostics)

    def of_basis(basis: str) -> Challenge:
        readings = (
            replace(
                each,
                answers=tuple(
                    replace(one, value=replace(one.value, basis=basis)) for one in each.answers
                ),
            )
            for each in found.readings
        )
        return replace(found, readings=tuple(readings))

    ion = of_basis("ion")
    said = " ".join(challenge_sentences(ion))
    assert "ammonia 0.52 mg/L as ammonium, nitrite 1.3 mg/L as nitrite are likeliest" in said
    assert challenge_tables(ion)[1].rows[1][0] == "1.3"
    assert "ammonia 0.52 mg/L, nitrite 1.3 mg/L are" in " ".join(
        challenge_sentences(of_basis("unknown"))
    )


def test_nobody_is_told_to_add_none_and_to_add_a_few() -> None:
    wishes = (Wish("Danio rerio", 6), Wish("snail", 3))
    left = (
        LeftOver("Danio rerio", 6, "comfort", "nitrite", "nitrite_comfort", 0.48, 0.48),
        LeftOver("snail", 3, "chronic", "ammonia", "ammonia_chronic", 0.45, 0.01),
    )
    found = sample_filling(wishes, sample_forecast().diagnostics)
    said = " ".join(filling_sentences(replace(found, additions=(), left=left)))
    assert "Add no animals yet" in said
    assert "Add a few" not in said


def test_a_chance_that_rounds_to_what_is_accepted_is_told_in_more_digits() -> None:
    found = sample_headroom(broken=True, diagnostics=sample_forecast().diagnostics)

    def told(risk: float) -> str:
        tiers = dict(found.dates[0].tiers)
        tiers["comfort"] = replace(tiers["comfort"], planned_risk=risk)
        return " ".join(
            headroom_sentences(replace(found, dates=(replace(found.dates[0], tiers=tiers),)))
        )

    assert "in 20.3 of 100 imagined tanks; you accept 20." in told(0.203)
    assert "in just over 20 of 100 imagined tanks; you accept 20." in told(0.2004)
    assert "in 31 of 100 imagined tanks; you accept 20." in told(0.312)


def test_somebody_who_lives_in_the_tank_is_seen_before_any_member_is_fitted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fitted() -> None:
        raise AssertionError("a refusal took half a minute")

    monkeypatch.setattr(bootstrap_growing, "warm_up", fitted)
    ask = bootstrap_growing.growing_ports().challenge
    tank = sample_tank()
    with pytest.raises(BadInput) as refused:
        ask(tank, ChallengeRequest(), None, None)
    (problem,) = refused.value.problems
    assert problem.key == "challenge-animals"
    assert problem.arguments["count"] == 4
    with pytest.raises(AssertionError):
        ask(replace(tank, events=()), ChallengeRequest(), None, None)
