"""A likely slip comes back with all that was typed and a tick; ticked, it is kept as it stands."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import BadInput, Line, add_tank, open_tank, record
from watervane.app.doubting import Doubted
from watervane.records import Entry, Person

NAME = "Study"
AT = {"day": "2026-03-10", "hour": "19:30"}


@pytest.fixture
def tank(fake: FakePorts) -> str:
    words = ("filled=2026-03-01", "volume=57 L")
    return add_tank(Person(), fake.ports(), name=NAME, words=words).receipt.tank


def entries(fake: FakePorts) -> tuple[Entry, ...]:
    return open_tank(Person(), NAME, fake.ports(), 100).entries


def tick_of(page: str) -> str:
    found = re.search(r'name="(sure-\w+)"', page)
    assert found is not None
    return found[1]


def test_it_is_asked_once_and_kept_when_it_is_so(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    typed = {"amount": "300 g", "times": "1", "request": "a", **AT}
    answer = keeper.post(f"/tank/{tank}/record/feed", data=typed)
    assert answer.status_code == 422
    assert "is it so?" in answer.text
    assert 'id="amount-wrong"' in answer.text
    assert 'value="300 g"' in answer.text
    assert entries(fake) == ()
    tick = tick_of(answer.text)
    other = keeper.post(f"/tank/{tank}/record/feed", data={**typed, "amount": "400 g", tick: "yes"})
    assert other.status_code == 422
    assert tick_of(other.text) != tick
    assert keeper.post(f"/tank/{tank}/record/feed", data={**typed, tick: "yes"}).status_code == 303
    assert len(entries(fake)) == 1


def test_what_cannot_be_has_no_tick(keeper: TestClient, fake: FakePorts, tank: str) -> None:
    typed = {"volume": "500", "water": "plain", "request": "a", **AT}
    answer = keeper.post(f"/tank/{tank}/record/top-off", data=typed)
    assert answer.status_code == 422
    assert 'id="volume-wrong"' in answer.text
    assert "sure-" not in answer.text
    assert entries(fake) == ()


def test_a_correction_is_asked_about_too(keeper: TestClient, fake: FakePorts, tank: str) -> None:
    keeper.post(f"/tank/{tank}/record/readings", data={"ph": "7.4", "request": "a", **AT})
    (entry,) = entries(fake)
    ahead = f"{(datetime.now(UTC) + timedelta(days=9)).date()}"
    typed = {"ph": "7.2", "request": "b", "day": ahead, "hour": ""}
    answer = keeper.post(f"/tank/{tank}/entry/{entry.number}", data=typed)
    assert answer.status_code == 422
    assert 'id="day-wrong"' in answer.text
    sure = {**typed, tick_of(answer.text): "yes"}
    assert keeper.post(f"/tank/{tank}/entry/{entry.number}", data=sure).status_code == 303


def test_a_use_case_asks_only_who_wants_to_be_asked(fake: FakePorts, tank: str) -> None:
    line = Line("died", ("3", "guppy"), None)
    came = Line("animals-in", ("2", "guppy"), datetime(2026, 3, 2, 12, tzinfo=UTC))
    record(Person(), NAME, came, fake.ports())
    with pytest.raises(Doubted) as asked:
        record(Person(), NAME, line, fake.ports(), sure="")
    assert [each.key for each in asked.value.problems] == ["doubt-fewer-here"]
    record(Person(), NAME, line, fake.ports(), sure=asked.value.token)
    with pytest.raises(BadInput) as never:
        record(Person(), NAME, Line("top-off", ("500 L",)), fake.ports())
    assert not isinstance(never.value, Doubted)
