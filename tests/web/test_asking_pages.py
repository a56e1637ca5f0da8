"""Pages that answer a question: what is asked, what comes back, what was mistyped."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from fake_asking import FakeAsking, ports_that_answer
from fake_ports import FakePorts
from starlette.testclient import TestClient
from test_resettle_command import sample as moved
from web_keeper import ADDRESS, OURS, PORT

from watervane.app import Line, add_tank, record
from watervane.records import Finding, Mishap, Person
from watervane.records.other_plans import DatedMishap, OtherPlan, RehearsedPlan
from watervane.records.questions import Answer
from watervane.records.resettling import ColonyMove
from watervane.web import Gate, make_app


@pytest.fixture
def asking(fake: FakePorts) -> FakeAsking:
    return ports_that_answer(fake)[1]


@pytest.fixture
def pages(asking: FakeAsking) -> TestClient:
    ports = replace(asking.ports, jobs=replace(asking.ports.jobs, ask=asking))
    gate = Gate(PORT)
    found = TestClient(make_app(ports, gate), ADDRESS, headers=OURS, follow_redirects=False)
    found.get(gate.launch_address)
    return found


@pytest.fixture
def tank(asking: FakeAsking) -> str:
    words = ("filled=2026-03-01", "volume=57 L", "source_water.ph=7.6")
    key = add_tank(Person(), asking.ports, name="Study", words=words).receipt.tank
    record(Person(), "Study", Line("animals-in", ("4", "Danio rerio")), asking.ports)
    return f"/tank/{key}"


def plan(asking: FakeAsking) -> OtherPlan:
    found = asking.asked[-1].plan
    assert found is not None
    return found


def test_the_page_begins_with_the_plan_as_it_stands(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    page = pages.get(f"{tank}/rehearsal")
    assert page.status_code == 200
    assert plan(asking) == OtherPlan()
    assert "This is the plan as it stands" in page.text


def test_what_is_moved_is_asked_for(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    typed = {"food": "150", "change": "30", "every": "4", "what-1": "power-cut", "size-1": "12",
             "day-1": "3", "what-2": "more-animals", "size-2": "", "day-2": ""}  # fmt: skip
    page = pages.get(f"{tank}/rehearsal", params=typed)
    assert plan(asking) == OtherPlan(
        1.5,
        0.3,
        4,
        (DatedMishap(Mishap("power-cut", 12.0), 3), DatedMishap(Mishap("more-animals", 5.0), 1)),
    )
    for told in ("150 % of the planned food", "30 % of the water is changed every 4 days",
                 "the power is off for 12 hours", "5 more animals"):  # fmt: skip
        assert told in page.text.replace("\N{NO-BREAK SPACE}", " "), told
    assert "<table" in page.text


def test_changes_stay_as_planned_while_the_tick_is_there(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    typed = {"food": "100", "as-planned": "yes", "change": "60", "every": "2"}
    pages.get(f"{tank}/rehearsal", params=typed)
    assert plan(asking).change_fraction is None
    assert plan(asking).as_planned


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("food", "much"),
        ("food", "401"),
        ("food", "nan"),
        ("change", "-1"),
        ("every", "0"),
        ("every", "1.5"),
        ("day-1", "40"),
        ("size-1", "1e9"),
        ("what-1", "flood"),
        ("what-1", "larger-tank"),
    ],
)
def test_what_cannot_be_understood_comes_back_at_its_field(
    pages: TestClient, asking: FakeAsking, tank: str, name: str, value: str
) -> None:
    typed = {"food": "120", "what-1": "power-cut", "day-1": "2", "size-1": "8", name: value}
    before = len(asking.asked)
    page = pages.get(f"{tank}/rehearsal", params=typed)
    assert page.status_code == 422
    assert len(asking.asked) == before
    assert page.text.count('class="wrong"') == 1
    field = page.text[page.text.index(f'id="{name}"') :][:400]
    assert 'aria-invalid="true"' in field
    if not name.startswith("what"):
        assert f'value="{value}"' in field
    assert 'value="120"' in page.text or name == "food"
    told = pages.get(f"{tank}/rehearsal.json", params=typed).json()
    assert told["wrong"] == [name]


def test_a_script_gets_words_and_rows(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    typed = {"food": "50", "what-1": "food-spilt", "size-1": "2", "day-1": "5", "window": "w"}
    told = pages.get(f"{tank}/rehearsal.json", params=typed).json()
    assert set(told["rows"]) == {"planned", "changed", "levels", "starts"}
    assert len(told["rows"]["planned"]) == len(told["rows"]["changed"]) > 20
    assert [row["t"][11:16] for row in told["rows"]["starts"]] == ["12:00"]
    assert "50 % of the planned food" in told["words"]["first"].replace("\N{NO-BREAK SPACE}", " ")
    first = told["rows"]["changed"][0]
    assert first["nitrate_mg_n_per_l_p50"] == pytest.approx(8.0 * 62.0 / 14.007, rel=0.01)


def test_a_first_look_is_told_as_one(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    whole = pages.get(f"{tank}/rehearsal.json", params={"food": "50"}).json()
    assert "first" not in whole
    assert isinstance(asking.asked[-1].plan, OtherPlan)
    assert not asking.asked[-1].first_look
    told = asking(asking.asked[-1], window="w", wait_s=0.0).told
    assert isinstance(told, RehearsedPlan)
    asking.instead = Answer(told=replace(told, seen_of=(250, 1000)))
    first = pages.get(f"{tank}/rehearsal.json", params={"food": "50", "first": "1"}).json()
    assert asking.asked[-1].first_look
    assert first["first"] == "A first look: 250 of the 1,000 imagined tanks. All of them follow."
    assert first["rows"]


def test_what_the_tank_has_nothing_for_is_told(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    page = pages.get(f"{tank}/rehearsal", params={"what-1": "animal-dies"})
    assert page.status_code == 200
    assert "needs animals in the tank" in page.text


def test_a_page_never_waits(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    asking.instead = Answer(stage="weighing", share=0.42)
    for path in ("rehearsal", "limits", "bring-home?species=Danio+rerio&count=6&hours=2"):
        page = pages.get(f"{tank}/{path}")
        assert "42 %" in page.text, path
        assert 'http-equiv="refresh"' in page.text
    assert pages.get(f"{tank}/rehearsal.json").json() == {"line": asking_line()}
    asking.instead = Answer(overtaken=True)
    assert pages.get(f"{tank}/rehearsal.json").json() == {"overtaken": True}


def asking_line() -> str:
    from watervane.web.routes.rehearsal import waiting_line

    return waiting_line(Answer(stage="weighing", share=0.42))


def test_both_plans_are_drawn(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    typed = {"food": "50", "look": "dark"}
    drawing = pages.get(f"{tank}/rehearsal.svg", params=typed)
    assert drawing.headers["content-type"].startswith("image/svg+xml")
    assert "<svg" in drawing.text
    spec = pages.get(f"{tank}/rehearsal-drawing.json", params=typed).json()["spec"]
    assert len(spec["vconcat"]) == 5
    assert pages.get(f"{tank}/rehearsal.svg", params={"look": "pink"}).status_code == 404
    assert pages.get(f"{tank}/rehearsal.svg", params={"food": "x"}).status_code == 404


def test_limits_are_listed(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    strictest = pages.get(f"{tank}/limits")
    every = pages.get(f"{tank}/limits?every=1")
    assert "Danio rerio" in strictest.text
    assert every.text.count("<dd>") > strictest.text.count("<dd>") > 10


def test_a_tank_in_trouble_says_so_before_anybody_is_fetched(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    assert "Fetch no animals yet" not in pages.get(f"{tank}/bring-home").text
    sent = {"ammonia": "4", "ph": "8.2", "day": f"{asking.ports.journal.now().date()}"}
    assert pages.post(f"{tank}/record/readings", data={**sent, "request": "a"}).status_code == 303
    page = pages.get(f"{tank}/bring-home").text
    assert "Fetch no animals yet" in page
    assert "You read ammonia" in page


def test_a_way_home_is_worked_out(pages: TestClient, asking: FakeAsking, tank: str) -> None:
    asked = pages.get(f"{tank}/bring-home")
    assert asked.status_code == 200
    assert not asking.asked
    typed = {"species": "Danio rerio", "count": "6", "hours": "2,5", "gas": "air", "ph": "7.1"}
    page = pages.get(f"{tank}/bring-home", params=typed)
    trip = asking.asked[-1].trip
    assert trip is not None
    assert (trip.count, trip.hours, trip.ph, trip.water_l, trip.kh_dkh) == (6, 2.5, 7.1, 1.0, None)
    assert "When you open the bag" in page.text


@pytest.mark.parametrize(
    ("name", "value"),
    [("species", ""), ("count", "none"), ("count", ""), ("hours", "200"), ("hours", ""),
     ("ph", "70"), ("gas", "helium"), ("length", "-2")],
)  # fmt: skip
def test_a_trip_that_cannot_be_understood_comes_back_at_its_field(
    pages: TestClient, asking: FakeAsking, tank: str, name: str, value: str
) -> None:
    typed = {"species": "Danio rerio", "count": "6", "hours": "2", "kh": "4", name: value}
    page = pages.get(f"{tank}/bring-home", params=typed)
    assert page.status_code == 422
    assert not asking.asked
    assert page.text.count('class="wrong"') == 1
    assert f'id="{name}-wrong"' in page.text
    assert 'value="4"' in page.text


def test_the_unit_a_field_asks_in_may_stand_behind_its_number(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    typed = {"species": "Danio rerio", "count": "6", "hours": "2 h"}
    typed |= {"length": "2,5 cm", "water": "1L"}
    assert pages.get(f"{tank}/bring-home", params=typed).status_code == 200
    trip = asking.asked[-1].trip
    assert trip is not None
    assert (trip.hours, trip.length_cm, trip.water_l) == (2.0, 2.5, 1.0)
    page = pages.get(f"{tank}/bring-home", params={**typed, "hours": "2 days"})
    assert page.status_code == 422
    assert "cannot be worked out yet" in page.text
    headroom = {"species": "Danio rerio", "length": "4 cm", "request": "a"}
    assert pages.post(f"{tank}/ask/headroom", data=headroom).status_code == 303
    assert asking.asked[-1].length_cm == 4.0
    assert 'value="Danio rerio"' in pages.get(f"{tank}/ask/headroom").text


@pytest.mark.parametrize("kind", ["headroom", "ways", "care"])
def test_what_takes_a_minute_is_asked_for_and_kept(
    pages: TestClient, asking: FakeAsking, tank: str, kind: str
) -> None:
    path = f"{tank}/ask/{kind}"
    assert "Nothing has been worked out yet" in pages.get(path).text
    assert not asking.asked, "looking asks for nothing"
    sent = pages.post(path, data={"request": "a"})
    assert (sent.status_code, len(asking.asked)) == (303, 1)
    page = pages.get(sent.headers["location"])
    assert "Worked out" in page.text
    assert "entries written since" not in page.text
    assert "<table" in page.text
    record(Person(), "Study", Line("note", ("text=seen",)), asking.ports)
    assert "entries written since are not in it" in pages.get(path).text
    assert len(asking.asked) == 1
    asking.instead = Answer(stage="future", share=0.3)
    assert "30 %" in pages.get(f"{path}?asked=1").text
    assert "Worked out" in pages.get(f"{path}?asked=1").text, "the last one shows meanwhile"


def test_who_comes_back_sees_what_is_still_being_worked_out_and_can_stop_it(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    path = f"{tank}/ask/headroom"
    asking.instead = Answer(stage="future", share=0.3)
    pages.post(path, data={"species": "Betta splendens"})
    record(Person(), "Study", Line("note", ("text=meanwhile",)), asking.ports)
    page = pages.get(path).text  # by the link of the tank's page, which knows no question
    assert "30 %" in page
    assert "Asked for: Betta splendens." in page
    assert "Nothing has been worked out yet" not in page
    assert 'name="species"' not in page
    assert f'action="{path}/stop"' in page
    assert pages.post(f"{path}/stop").status_code == 303
    after = pages.get(path).text
    assert "Nothing has been worked out yet" in after
    assert 'name="species"' in after
    assert pages.post(f"{tank}/ask/luck/stop").status_code == 404


def test_headroom_is_asked_of_other_animals(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    path = f"{tank}/ask/headroom"
    sent = pages.post(path, data={"species": "Betta splendens", "length": "5,5"})
    assert (asking.asked[-1].species, asking.asked[-1].length_cm) == ("Betta splendens", 5.5)
    assert "species=Betta" in sent.headers["location"]
    wrong = pages.post(path, data={"species": "Betta splendens", "length": "long"})
    assert wrong.status_code == 422
    assert 'id="length-wrong"' in wrong.text
    assert 'value="Betta splendens"' in wrong.text
    assert pages.post(path, data={"length": "5"}).status_code == 422
    assert pages.get(f"{tank}/ask/luck").status_code == 404


def test_the_last_care_is_printed(pages: TestClient, tank: str) -> None:
    assert pages.get(f"{tank}/ask/care/sheet").status_code == 404
    page = pages.get(pages.post(f"{tank}/ask/care", data={"request": "a"}).headers["location"])
    assert f'href="{tank}/ask/care/sheet"' in page.text
    assert f'href="{tank}/calendar"' in page.text
    sheet = pages.get(f"{tank}/ask/care/sheet")
    assert sheet.headers["content-disposition"] == 'attachment; filename="study-care.pdf"'
    assert sheet.content.startswith(b"%PDF")


def test_moving_colonies_is_asked_told_and_kept(
    pages: TestClient, asking: FakeAsking, tank: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    care = replace(asking.ports.care, resettle=lambda _tank, asked, *_more: moved(asked.move))
    asking.ports = replace(asking.ports, care=care)
    path = f"{tank}/ask/resettle"
    empty = pages.get(path).text
    assert "Water of the larger tank, L" in empty
    assert 'aria-invalid="true"' not in empty
    typed = {"what": "house", "carried": "damp", "hours": "5", "warmth": "12", "share": "",
             "bed": "behind", "old-water": "30"}  # fmt: skip
    sent = pages.post(path, data=typed)
    assert sent.status_code == 303
    move = ColonyMove("house", "damp", 5.0, 12.0, 1.0, bed=False, old_water=0.3)
    assert asking.asked[-1].move == move
    page = pages.get(sent.headers["location"]).text
    for words in (
        "Moving house: ",
        "On the day",
        "The old bed stays behind",
        "Other ways to do it",
    ):
        assert words in page
    again = pages.get(path).text
    assert 'value="12"' in again, "what was asked last stands in the form"
    assert re.search(r'value="house" checked', again)


def test_a_move_that_makes_no_sense_comes_back_with_all_that_was_typed(
    pages: TestClient, asking: FakeAsking, tank: str
) -> None:
    path = f"{tank}/ask/resettle"
    wrong = pages.post(path, data={"what": "larger-tank", "hours": "soon", "old-water": "140"})
    assert wrong.status_code == 422
    assert not asking.asked
    for name in ("volume", "hours", "old-water"):
        assert f'id="{name}-wrong"' in wrong.text
    assert 'value="soon"' in wrong.text
    told = {"field": "volume", "before": 57.0, "told": 40.0}
    asking.instead = Answer(why=(Finding("resettle-not-larger", "problem", told),))
    sent = pages.post(path, data={"what": "larger-tank", "volume": "40"})
    page = pages.get(sent.headers["location"]).text
    assert 'id="volume-wrong"' in page, "only the process that computes knows how large it is"
    assert 'value="40"' in page
    assert "--" not in page[page.index('id="volume-wrong"') :][:300]


@pytest.mark.parametrize(
    "page",
    [
        "rehearsal",
        "limits",
        "bring-home",
        "rehearsal.json",
        "ask/headroom",
        "ask/ways",
        "ask/care",
        "ask/care/sheet",
        "ask/resettle",
    ],
)
def test_a_tank_of_nobody_has_no_such_page(pages: TestClient, tank: str, page: str) -> None:
    assert pages.get(f"/tank/unknown/{page}").status_code == 404


def test_the_tank_leads_to_them(pages: TestClient, tank: str) -> None:
    page = pages.get(tank).text
    for each in ("rehearsal", "ask/care", "ask/resettle", "ask/headroom", "ask/ways", "limits"):
        assert f'href="{tank}/{each}"' in page
