"""A tank's calendar by address: read without a cookie, for one tank, until it is revoked."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
import vobject
from fake_ports import FakePorts
from sample_forecasts import sample_tank
from sample_today import sample_today
from starlette.testclient import TestClient
from web_club import calm_day, computed
from web_keeper import ADDRESS
from web_sharing import PHONE, House

from watervane.app.keeping import Line
from watervane.app.recording import record_lines
from watervane.app.setting_up import adopt_tank
from watervane.records import Habit, Person, TopOff, WaterChange
from watervane.records import Today as Judged

TODAY = datetime.now(UTC).date()


def habits() -> tuple[Habit, ...]:
    at = datetime.combine(TODAY, time(18, 30), UTC)
    return (
        Habit(template=WaterChange(at=at, fraction=0.25), every_days=7.0, start=TODAY),
        Habit(template=TopOff(at=at, hour_known=False), every_days=3.0, start=TODAY),
    )


@pytest.fixture
def key(fake: FakePorts) -> str:
    tank = replace(sample_tank(), name="Sill", habits=habits(), time_zone="UTC")
    return adopt_tank(Person(), tank, fake.ports(), asked="t").receipt.tank


def made(keeper: TestClient, key: str) -> str:
    page = keeper.post(f"/tank/{key}/calendar")
    assert page.status_code == 200
    assert page.headers["cache-control"] == "no-store"
    found = re.search(r">(http[^<]*/calendar/[^<]*\.ics)<", page.text)
    assert found is not None
    return found[1].removeprefix(ADDRESS)


def events(browser: TestClient, address: str) -> dict[str, vobject.base.Component]:
    sent = browser.get(address)
    assert sent.status_code == 200, sent.text
    assert sent.headers["content-type"].startswith("text/calendar")
    return {each.uid.value: each for each in vobject.readOne(sent.text).vevent_list}


def test_planned_work_is_read_without_a_cookie(keeper: TestClient, key: str) -> None:
    assert f'href="/tank/{key}/calendar"' in keeper.get(f"/tank/{key}").text
    address = made(keeper, key)
    keeper.cookies.clear()
    assert keeper.get(f"/tank/{key}").status_code == 403
    found = events(keeper, address)
    changes = [each for each in found.values() if "change 25 %" in each.summary.value]
    assert len(changes) == 9  # today and within sixty days
    assert all(each.dtstart.value.time() == time(18, 30) for each in changes)
    top_offs = [each for each in found.values() if "top off" in each.summary.value]
    assert len(top_offs) == 21
    assert {each.dtstart.value - TODAY for each in top_offs} == {
        timedelta(days=3 * n) for n in range(21)
    }
    assert not any("valarm" in each.contents for each in found.values())
    assert set(events(keeper, address)) == set(found)


def test_steps_are_told_only_while_the_newest_judgement_finds_them_worth_it(
    keeper: TestClient, fake: FakePorts, key: str
) -> None:
    address = made(keeper, key)
    planned = set(events(keeper, address))
    day = sample_today()
    now = datetime.now(UTC).replace(microsecond=0) + timedelta(minutes=5)
    assert day.chosen is not None
    acts = tuple(replace(act, at=now) for act in day.chosen.acts)
    computed(fake, {"Sill": replace(day, chosen=replace(day.chosen, acts=acts))})
    found = events(keeper, address)
    steps = {uid: each for uid, each in found.items() if uid not in planned}
    assert steps
    assert all("valarm" in each.contents for each in steps.values())
    assert any("35 %" in each.summary.value for each in steps.values())
    assert all("As judged on" in e.description.value or "test" in e.summary.value.lower()
               for e in steps.values())  # fmt: skip
    record_lines(Person(), key, [Line("water-change", ("fraction=35%",))], fake.ports())
    after = events(keeper, address)
    assert set(steps) <= set(after)
    assert {after[uid].status.value for uid in steps} == {"CANCELLED"}
    assert {after[uid].sequence.value for uid in steps} == {"1"}


def test_nothing_is_reminded_of_on_a_calm_day(
    keeper: TestClient, fake: FakePorts, key: str
) -> None:
    address = made(keeper, key)
    calm: Judged = replace(calm_day(), chosen=None)
    computed(fake, {"Sill": calm})
    for each in events(keeper, address).values():
        assert "valarm" not in each.contents or "test" in each.summary.value.lower()


def test_an_address_opens_one_calendar_until_it_is_revoked(keeper: TestClient, key: str) -> None:
    first, second = made(keeper, key), made(keeper, key)
    page = keeper.get(f"/tank/{key}/calendar").text
    assert first.split("/")[-1] not in page  # shown once
    revoke = re.findall(rf'action="(/tank/{key}/calendar/[0-9a-f]+/revoke)"', page)
    assert len(revoke) == 2
    assert keeper.post(revoke[0]).status_code == 303
    assert keeper.get(first).status_code == 404
    assert keeper.get(second).status_code == 200
    assert keeper.post(revoke[0]).status_code == 404
    for wrong in ("/calendar/.ics", "/calendar/x.ics", second.replace(".ics", "x.ics")):
        assert keeper.get(wrong).status_code == 404
    assert keeper.get(second, headers={"host": "elsewhere.example"}).status_code == 421
    keeper.cookies.clear()
    assert keeper.post(second).status_code in (403, 405)


def test_no_secret_lies_in_the_file(keeper: TestClient, fake: FakePorts, key: str) -> None:
    secret = made(keeper, key).split("/")[-1].removesuffix(".ics")
    folder = fake.ports().pages.folder()
    file = Path(folder) / "calendars.json"
    assert secret not in file.read_text(encoding="utf-8")
    assert file.stat().st_mode & 0o077 == 0
    file.write_text("broken", encoding="utf-8")
    assert keeper.get(f"/calendar/{secret}.ics").status_code == 404
    assert keeper.get(f"/tank/{key}/calendar").status_code == 200


def test_addresses_go_along_in_a_copy_and_what_was_revoked_stays_revoked(
    keeper: TestClient,
    fake: FakePorts,
    key: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    kept, gone = made(keeper, key), made(keeper, key)
    copy = tmp_path / "copy.sqlite"
    fake.ports().journal.back_up(copy)
    page = keeper.get(f"/tank/{key}/calendar").text
    revoke = re.findall(r'action="(/tank/[^"]+/revoke)"', page)[1]
    keeper.post(revoke)
    fake.ports().journal.restore(copy, True)
    assert keeper.get(kept).status_code == 200
    assert keeper.get(gone).status_code == 404
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "elsewhere" / "journal.sqlite"))
    assert keeper.get(kept).status_code == 404
    fake.ports().journal.restore(copy, False)
    assert keeper.get(kept).status_code == 200
    file = Path(fake.ports().pages.folder()) / "calendars.json"
    assert file.stat().st_mode & 0o077 == 0
    again = tmp_path / "again.sqlite"
    fake.ports().journal.back_up(again)  # a journal itself carries nothing that would be in the way
    assert again.is_file()


def test_a_tank_has_so_many_addresses_and_no_more(keeper: TestClient, key: str) -> None:
    for _ in range(16):
        made(keeper, key)
    assert keeper.post(f"/tank/{key}/calendar").status_code == 409


def test_the_house_reads_it_and_nobody_outside(fake: FakePorts, key: str, tmp_path: Path) -> None:
    house = House(tmp_path, fake)
    home = house.at_home()
    page = home.post(f"/tank/{key}/calendar").text
    address = re.search(r">https://[^/<]*(/calendar/[^<]*)<", page)
    assert address is not None
    assert house.phone(PHONE).get(address[1]).status_code == 200
    assert house.phone("203.0.113.9").get(address[1]).status_code == 403


def test_the_steps_of_a_plan_are_downloaded(keeper: TestClient) -> None:
    told = {"name": "Study", "shape": "rectangular", "length": "60", "width": "30", "height": "36",
            "measured": "outside", "glass": "6", "filled": "2026-03-20"}  # fmt: skip
    sent = keeper.get("/blueprint/calendar", params=told)
    assert sent.headers["content-disposition"] == 'attachment; filename="study.ics"'
    days = {each.dtstart.value for each in vobject.readOne(sent.text).vevent_list}
    assert min(days) == date(2026, 3, 19)
    assert keeper.get("/blueprint/calendar", params={**told, "filled": "x"}).status_code == 422


def test_what_is_due_stands_on_the_page_and_comes_as_a_file(keeper: TestClient, key: str) -> None:
    page = keeper.get(f"/tank/{key}/calendar").text.replace("\N{NO-BREAK SPACE}", " ")
    assert "18:30: change 25 % of the water" in page
    assert page.index("What is due?") < page.index("Make an address")
    sent = keeper.get(f"/tank/{key}/calendar/due.ics")
    assert "attachment" in sent.headers["content-disposition"]
    asked = {each.uid.value for each in vobject.readOne(sent.text).vevent_list}
    assert asked == set(events(keeper, made(keeper, key)))
    keeper.cookies.clear()
    assert keeper.get(f"/tank/{key}/calendar/due.ics").status_code == 403
