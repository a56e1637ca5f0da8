"""Readings between the steps of a kit, of any quantity, and of a whole week on one page."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import add_tank, open_tank
from watervane.records import Entry, Person, Reading

WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")
AT = {"day": "2026-03-10", "hour": "19:30"}
KIT = (
    "kits.drop.ammonia.steps=['0', '0.3', '0.7', '1.5']",
    "kits.drop.ammonia.unit=mg/L as N",
)


@pytest.fixture
def tank(fake: FakePorts) -> str:
    return add_tank(Person(), fake.ports(), name="Study", words=(*WORDS, *KIT)).receipt.tank


def readings(fake: FakePorts) -> list[tuple[str, float, float]]:
    return [
        (what.quantity, what.value.low, what.value.high)
        for each in entries(fake)
        if isinstance(what := each.what, Reading)
    ]


def entries(fake: FakePorts) -> tuple[Entry, ...]:
    return open_tank(Person(), "Study", fake.ports(), 100).entries


def test_what_lies_between_two_steps_is_told_beside_them(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    path = f"/tank/{tank}/record/readings"
    sent = {"ammonia-typed": "0.3 to 0.7", **AT, "request": "a"}
    assert keeper.post(path, data=sent).status_code == 303
    (entry,) = entries(fake)
    assert isinstance(entry.what, Reading)
    value = entry.what.value
    assert (value.low, value.high, value.basis, entry.what.kit) == (0.3, 0.7, "n", "drop")
    page = keeper.get(f"/tank/{tank}/entry/{entry.number}").text
    assert re.search(r'name="ammonia-typed"[^>]* value="0.3..0.7 mg/L as N"', page)
    twice = {"ammonia": "0.3 mg/L as N", "ammonia-typed": "0.5", **AT, "request": "b"}
    answer = keeper.post(path, data=twice)
    assert answer.status_code == 422
    assert 'id="ammonia-typed-wrong"' in answer.text


def test_any_other_quantity_has_a_row(keeper: TestClient, fake: FakePorts, tank: str) -> None:
    path = f"/tank/{tank}/record/readings"
    sent = {"other": "gh", "other-value": "8", **AT, "request": "a"}
    assert keeper.post(path, data=sent).status_code == 303
    assert readings(fake) == [("gh", 8.0, 8.0)]
    assert 'id="gh"' in keeper.get(path).text  # read once, it is asked by itself
    for wrong in (
        {"other-value": "8"},
        {"other": "oxygen"},
        {"other": "oxygen", "other-value": "?"},
    ):
        answer = keeper.post(path, data={**wrong, **AT, "request": "b"})
        assert answer.status_code == 422
        assert 'id="other-value-wrong"' in answer.text


def test_a_week_is_kept_from_one_page_or_comes_back_whole(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    path = f"/tank/{tank}/record/week"
    assert f'href="{path}"' in keeper.get(f"/tank/{tank}/record").text
    page = keeper.get(path).text
    names = re.findall(r'name="(ammonia-\d{4}-\d\d-\d\d)"', page)
    today = fake.ports().journal.now().date()
    assert names == [f"ammonia-{today - timedelta(days=n)}" for n in reversed(range(7))]
    typed = {names[0]: "0.3", names[3]: "0.3 to 0.7", f"ph-{today}": "7.4", "request": "a"}
    answer = keeper.post(path, data={**typed, f"kh-{today}": "many"})
    assert answer.status_code == 422
    assert f'id="kh-{today}-wrong"' in answer.text
    assert 'value="0.3 to 0.7"' in answer.text
    assert not entries(fake)
    assert keeper.post(path, data=typed).status_code == 303
    assert readings(fake) == [("ammonia", 0.3, 0.3), ("ammonia", 0.3, 0.7), ("ph", 7.4, 7.4)]
    days = [what.at.date() for each in entries(fake) if isinstance(what := each.what, Reading)]
    assert days == [today - timedelta(days=6), today - timedelta(days=3), today]
    assert keeper.post(path, data={"request": "c"}).status_code == 422


def test_a_form_leads_on_to_the_next_record(keeper: TestClient, fake: FakePorts, tank: str) -> None:
    sent = {"text": "All well.", "then": "more", **AT, "request": "a"}
    answer = keeper.post(f"/tank/{tank}/record/note", data=sent)
    where = answer.headers["location"]
    assert where.startswith(f"/tank/{tank}/record?kept=")
    page = keeper.get(where).text
    assert 'id="kept"' in page
    assert "All well" in page


def test_many_readings_are_told_by_their_days(keeper: TestClient, tank: str) -> None:
    days = re.findall(r'name="ammonia-([0-9-]+)"', keeper.get(f"/tank/{tank}/record/week").text)
    sent = {f"ammonia-{days[0]}": "0.3 to 0.7", f"nitrite-{days[0]}": "0", f"ph-{days[2]}": "7.4"}
    sent |= {f"nitrate-{days[2]}": "10", "request": "w"}
    kept = keeper.post(f"/tank/{tank}/record/week", data=sent)
    page = keeper.get(kept.headers["location"]).text.replace("\N{NO-BREAK SPACE}", " ")
    told = re.findall(r"<p>([^<]*)</p>", page[page.index('id="kept"') :])[:3]
    assert told[0] == "Study: 4 entries kept."
    assert "ammonia 0.3 to 0.7" in told[1]
    assert "nitrite 0" in told[1]
    assert "nitrate 10" in told[2]
