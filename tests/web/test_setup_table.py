"""A new tank with a table of readings: shown with what its columns mean, kept when it was seen."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import list_tanks, open_tank
from watervane.records import Feed, Person, Tank
from watervane.web.forms import table as form

TABLE = """Date,NH4 (mg/l),pH,Mood
2026-03-12,0.25,7.2,calm
2026-03-13,0.5,7.1,
"""
TOLD = {"name": "Study", "size": "57", "filled": "2026-03-01", "request": "a"}


def only_tank(fake: FakePorts) -> Tank:
    (tank,) = list_tanks(Person(), fake.ports())
    return open_tank(Person(), tank.name, fake.ports()).tank


class _Sent(HTMLParser):
    """What the form that sets a tank up sends as it stands."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self._in, self._text, self._list = False, "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        name, value = told.get("name") or "", told.get("value") or ""
        if tag == "form":
            self._in = told.get("action") == "/new"
        if not self._in:
            return
        ticked = told.get("type") not in ("radio", "checkbox") or "checked" in told
        if tag == "input" and ticked and told.get("type") != "file":
            self.found[name] = value
        if tag == "textarea":
            self._text, self.found[name] = name, ""
        if tag == "select":
            self._list, self.found[name] = name, ""
        if tag == "option" and "selected" in told:
            self.found[self._list] = value

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._text = ""

    def handle_data(self, data: str) -> None:
        if self._text:
            self.found[self._text] += data


def sent_back(page: str) -> dict[str, str]:
    """What the form of a page sends as it stands."""
    read = _Sent()
    read.feed(page)
    return read.found


def test_a_table_is_shown_first_and_kept_once_it_was_seen(
    keeper: TestClient, fake: FakePorts
) -> None:
    first = keeper.post("/new", data=TOLD, files={"table-file": ("log.csv", TABLE.encode())})
    assert first.status_code == 422
    assert list_tanks(Person(), fake.ports()) == ()
    assert "Column &#39;NH4 (mg/l)&#39; is" in first.text
    assert 'id="means-3-wrong"' in first.text, "what Mood is, nobody can tell"
    again = sent_back(first.text)
    assert again["table"] == TABLE
    assert (again["means-1"], again["unit-1"]) == ("ammonia", "mg/L")
    assert (again["name"], again["size"], again["filled"]) == ("Study", "57", "2026-03-01")
    again |= {"means-3": "note", "unit-1": "mg/L as NH4"}
    second = keeper.post("/new", data=again)
    assert second.status_code == 200, "understood now, and shown before it is kept"
    assert "The tank would begin with 5 entries" in second.text
    assert "Thursday 12 March 2026: ammonia 0.25 mg/L as NH4; pH 7.2" in second.text.replace(
        "\u00a0", " "
    )
    assert list_tanks(Person(), fake.ports()) == ()
    last = sent_back(second.text)
    for _ in range(2):  # sent twice, kept once
        third = keeper.post("/new", data=last)
        assert third.status_code == 303, third.text
    tank = only_tank(fake)
    assert [each.quantity for each in tank.readings] == ["ammonia", "ph", "ammonia", "ph"]
    assert tank.readings[0].value.low == pytest.approx(0.25 / 1.288, rel=1e-2)
    assert [each.text for each in tank.events] == ["calm"]


def test_what_changed_since_it_was_seen_is_shown_again(keeper: TestClient, fake: FakePorts) -> None:
    text = "Date,Temp (C)\n2026-03-12,24\n"
    seen = sent_back(keeper.post("/new", data={**TOLD, "table": text}).text)
    other = {**seen, "table": text + "2026-03-13,25\n"}
    assert keeper.post("/new", data=other).status_code == 200
    assert list_tanks(Person(), fake.ports()) == ()
    assert keeper.post("/new", data=seen).status_code == 303
    assert [each.value.low for each in only_tank(fake).readings] == [24.0]


def test_rows_that_mean_nothing_are_named_and_left_out_only_when_told(
    keeper: TestClient, fake: FakePorts
) -> None:
    text = "Date;pH;Food\n12.3.2026;7,2;1 pinch\n13.3.2026;sour;\n14.3.2026;7,0;a lot\n"
    shown = keeper.post("/new", data={**TOLD, "table": text})
    assert shown.status_code == 422
    assert "2 entries were understood; not so what stands in 2 rows" in shown.text
    assert "line 3, column &#39;pH&#39;" in shown.text
    assert "line 4, column &#39;Food&#39;" in shown.text
    sent = sent_back(shown.text)
    assert keeper.post("/new", data=sent).status_code == 422
    kept = keeper.post("/new", data={**sent, "table-good": "yes"})
    assert kept.status_code == 303, kept.text
    tank = only_tank(fake)
    assert [each.value.low for each in tank.readings] == [7.2]
    assert [type(each) for each in tank.events] == [Feed]


def test_days_that_may_be_months_are_asked_for_at_their_field(
    keeper: TestClient, fake: FakePorts
) -> None:
    text = "Date,pH\n3/4/2026,7.2\n"
    shown = keeper.post("/new", data={**TOLD, "table": text})
    assert 'id="table-dates-wrong"' in shown.text
    sent = {**sent_back(shown.text), "table-dates": "day-first"}
    seen = keeper.post("/new", data=sent)
    assert seen.status_code == 200
    assert keeper.post("/new", data=sent_back(seen.text)).status_code == 303
    (reading,) = only_tank(fake).readings
    assert f"{reading.at:%Y-%m-%d}" == "2026-04-03"


def test_a_unit_nobody_told_is_asked_for_at_its_column(keeper: TestClient) -> None:
    shown = keeper.post("/new", data={**TOLD, "table": "Date,Nitrite\n2026-03-12,0.3\n"})
    assert 'id="unit-1-wrong"' in shown.text
    sent = {**sent_back(shown.text), "unit-1": "mg/L as N"}
    assert keeper.post("/new", data=sent).status_code == 200


def test_a_filling_after_the_first_row_is_said_at_its_field(
    keeper: TestClient, fake: FakePorts
) -> None:
    text = "Date,pH\n2026-02-20,7.2\n"
    sent = sent_back(keeper.post("/new", data={**TOLD, "table": text}).text)
    wrong = keeper.post("/new", data=sent)
    assert wrong.status_code == 422
    assert 'id="filled-wrong"' in wrong.text
    assert "begins on 2026-02-20" in wrong.text
    assert keeper.post("/new", data={**sent, "filled": "2026-02-19"}).status_code == 303


def test_wrong_answers_and_a_table_come_back_together(keeper: TestClient) -> None:
    sent = {**TOLD, "size": "57", "species-1": "Danio rerio", "count-1": "six",
            "table": "Date,pH\n2026-03-12,7.2\n"}  # fmt: skip
    seen = sent_back(keeper.post("/new", data=sent).text)
    assert seen["count-1"] == "six"
    wrong = keeper.post("/new", data=seen)
    assert 'id="count-1-wrong"' in wrong.text
    assert sent_back(wrong.text)["table"] == sent["table"]
    size = keeper.post("/new", data={**sent, "size": "large"})
    assert 'id="size-wrong"' in size.text
    assert sent_back(size.text)["table"] == sent["table"]


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("log.xlsx", b"PK\x03\x04", "spreadsheet"),
        ("log.csv", b"\x00\x01\x02\x00\x81", "table"),
        ("log.csv", b"Date,pH\n2026-03-12,7\n" + b"x" * form.LONGEST, "longer than a page"),
        ("log.toml", b'format = "watervane-tank/1"\n', "no table"),
        ("log.csv", b"pH\n7\n", "No column tells the date"),
    ],
)
def test_what_is_no_table_is_refused_with_its_remedy(
    keeper: TestClient, fake: FakePorts, name: str, data: bytes, said: str
) -> None:
    answer = keeper.post("/new", data=TOLD, files={"table-file": (name, data)})
    assert answer.status_code == 422
    assert said in answer.text
    assert 'value="Study"' in answer.text
    assert "--" not in re.sub(r"<[^>]+>", "", answer.text.partition("table-shown")[2])
    assert list_tanks(Person(), fake.ports()) == ()


def test_a_table_in_the_place_of_a_tank_file_is_taken_to_the_questions(
    keeper: TestClient, fake: FakePorts
) -> None:
    files = {"file": ("log.csv", b"Date,pH\n2026-03-12,7.2\n")}
    shown = keeper.post("/new/file", data={"request": "b"}, files=files)
    sent = sent_back(shown.text)
    assert sent["filled"] == "2026-03-12"
    assert "would begin with 1 entries" in shown.text or "would begin with one" in shown.text
    assert keeper.post("/new", data={**sent, "name": "Den"}).status_code == 303
    assert only_tank(fake).name == "Den"
