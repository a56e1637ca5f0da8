"""A tank that is kept no more goes out of sight with a word on what goes, and comes back whole."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import BadInput, Line, list_tanks, open_tank, record
from watervane.app.calendars import DueTank, due_calendar
from watervane.app.putting_away import put_away, tanks_put_away
from watervane.app.rounds import rounds
from watervane.records import Person


@pytest.fixture
def where(keeper: TestClient) -> str:
    sent = {"name": "Sill", "size": "57", "filled": "2026-03-01", "request": "a"}
    where = keeper.post("/new", data=sent).headers["location"].partition("?")[0]
    at = {"day": "2026-03-10", "hour": "19:30", "request": "b"}
    keeper.post(f"{where}/record/readings", data={"ph": "7.4", **at})
    return where


def test_it_is_told_what_goes_and_nothing_is_lost(
    keeper: TestClient, fake: FakePorts, where: str
) -> None:
    page = keeper.get(f"{where}/put-away").text
    assert "readings 1, other entries 0, photos 0" in page
    assert "Nothing of that is deleted" in page
    assert f'href="{where}/put-away"' in keeper.get(f"{where}/settings").text
    answer = keeper.post(f"{where}/put-away", data={"request": "c"})
    assert answer.status_code == 303
    page = keeper.get(answer.headers["location"]).text
    assert "was put away. It is brought back below." in page.replace("&#39;", "'")
    ports = fake.ports()
    assert list_tanks(Person(), ports) == ()
    assert rounds(Person(), ports) == ()
    assert [each.name for each in tanks_put_away(Person(), ports)] == ["Sill"]
    assert 'href="/put-away"' in keeper.get("/").text
    assert "It was put away on" in keeper.get(where).text
    away = open_tank(Person(), "Sill", ports).tank
    daily = record(Person(), "Sill", Line("water-change", ("25 %", "every=1 d")), ports)
    assert daily.entries
    tank = open_tank(Person(), "Sill", ports).tank
    now = ports.journal.now()
    assert due_calendar(DueTank("k", tank), now).entries == ()
    assert due_calendar(DueTank("k", replace(tank, put_away=None)), now).entries
    assert away.put_away == now.date()
    assert keeper.post(f"{where}/bring-back", data={"request": "d"}).status_code == 303
    assert [each.name for each in list_tanks(Person(), ports)] == ["Sill"]
    assert len(open_tank(Person(), "Sill", ports).tank.readings) == 1
    assert 'href="/put-away"' not in keeper.get("/").text


def test_the_worker_leaves_it_alone(fake: FakePorts, where: str) -> None:
    key, ports = where.rpartition("/")[2], fake.ports()
    now = ports.journal.now()
    with ports.journal.open() as journal, journal.asking(Person(), now) as asking:
        asking.ask(key, "today")
    put_away(Person(), key, ports)
    with ports.journal.open() as journal:
        with journal.looking(Person()) as view:
            assert not any(job.open for job in view.jobs(key))
        with journal.working("w", now) as working:
            assert working.ask_for_news("0", now.replace(year=2000)) is None
    with pytest.raises(BadInput):
        put_away(Person(), key, ports)


def test_who_takes_its_name_is_told_how_to_bring_it_back(
    keeper: TestClient, fake: FakePorts, where: str
) -> None:
    put_away(Person(), where.rpartition("/")[2], fake.ports())
    sent = {"name": "sill", "size": "57", "filled": "2026-03-01", "request": "e"}
    answer = keeper.post("/new", data=sent)
    page = answer.text.replace("&#39;", "'")
    assert answer.status_code == 422
    assert "Your tank 'Sill', put away on" in page
    body = page[page.index("<h1") :]
    assert 'href="/put-away"' in body
    assert 'value="sill"' in body
    assert "this one gets it" in page
    (tick,) = re.findall(r'name="(sure[^"]*)"', page)
    done = keeper.post("/new", data={**sent, tick: "yes"})
    assert done.status_code == 303, "one press, and it has the name"
    assert [each.name for each in list_tanks(Person(), fake.ports())] == ["sill"]
    (away,) = tanks_put_away(Person(), fake.ports())
    assert away.name.startswith("Sill, put away ")
    assert keeper.post(f"{where}/bring-back", data={"request": "f"}).status_code == 303
    assert len(open_tank(Person(), away.name, fake.ports()).tank.readings) == 1
