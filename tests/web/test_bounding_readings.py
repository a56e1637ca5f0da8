"""KH and pH read so low that they bound a change of water: on a tank's page and in the rounds."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_today import reading_day, sample_today
from starlette.testclient import TestClient
from test_tank_page import NAME, fish, section
from web_club import computed

from watervane.app import Line, add_tank, record, working
from watervane.records import AtOnce, Person


@pytest.fixture
def known(fake: FakePorts) -> str:
    words = ("filled=2026-03-01", "volume=57 L")
    key = add_tank(Person(), fake.ports(), name=NAME, words=words).receipt.tank
    computed(fake, {NAME: sample_today()})
    return key


def test_buffering_that_is_nearly_gone_is_told_of_though_the_judgement_knows_it(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    fish(fake)
    record(Person(), NAME, Line("reading", ("kh", "0.5 dKH")), fake.ports())
    judged = sample_today()
    assert judged.planned is not None
    low = replace(judged.planned, by_subject={"comfort/alkalinity": 0.9})
    computed(fake, {NAME: replace(judged, planned=low)})
    page = keeper.get(f"/tank/{known}").text
    now, today = section(page, "wrong-now"), section(page, "do-today")
    assert now.index("Not at once dangerous") < now.index("too little to hold pH"), "harm first"
    assert now.count('class="lead"') == now.count("Not at once dangerous") == 1
    assert "What the forecast says follows" not in now
    assert "Changed less? Record how much" in today, "who did a tenth can say so"
    assert "What was judged before that" not in now
    assert "Change no more than a tenth of the water" in today
    assert "By the KH you read, change no more than 10 % of the water at once" in today
    assert today.count("<ol") == 1, "what bounds the steps is no step"
    rounds = keeper.get("/").text.replace("\N{NO-BREAK SPACE}", " ")
    assert "too little to hold pH" in rounds
    assert rounds.index("Not at once dangerous") < rounds.index("too little to hold pH")


def test_rounds_tell_an_emergency_beside_a_known_reading_of_kh(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    fish(fake)
    record(Person(), NAME, Line("reading", ("kh", "0.5 dKH")), fake.ports())
    judged, alarm = sample_today(), reading_day().verdict.alarm
    assert judged.planned is not None
    assert alarm is not None
    low = replace(judged.planned, by_subject={"comfort/alkalinity": 0.9})
    said = replace(judged.verdict, key="emergency", alarm=replace(alarm, quantity="nitrite"))
    computed(fake, {NAME: replace(judged, planned=low, verdict=said)})
    rounds = keeper.get("/").text.replace("\N{NO-BREAK SPACE}", " ")
    assert rounds.index("cannot wait") < rounds.index("too little to hold pH")


def test_the_bound_of_a_judgement_stands_until_that_reading_is_taken_again(
    keeper: TestClient, fake: FakePorts, known: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    fish(fake)
    acid = AtOnce((), bounded_by="ph", most_share=0.1)
    monkeypatch.setattr(working, "at_once_of", lambda *_: acid)
    computed(fake, {NAME: sample_today()})
    bound = "By the pH you read, change no more than 10 %"

    def said() -> bool:
        return bound in section(keeper.get(f"/tank/{known}").text, "do-today")

    assert said()
    record(Person(), NAME, Line("note", ("a meal",)), fake.ports())
    assert said()
    record(Person(), NAME, Line("reading", ("ph", "7.4")), fake.ports())
    assert not said()
