"""Pages tell in the units a browser chose, and understand what is typed in them."""

from __future__ import annotations

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app.keeping import open_tank
from watervane.records import Person, WaterChange
from watervane.wording.in_units import current_units

US = {"volume": "us", "warmth": "fahrenheit", "hardness": "caco3", "nitrogen": "ion"}


@pytest.fixture
def american(keeper: TestClient) -> TestClient:
    answer = keeper.post("/settings/units", data=US)
    assert answer.status_code == 303
    return keeper


def set_up(pages: TestClient, **told: str) -> str:
    answer = pages.post("/new", data={"name": "Sill", "filled": "2026-03-01", **told})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].partition("?")[0]


def test_a_bare_number_is_read_in_the_unit_that_was_chosen(
    american: TestClient, fake: FakePorts
) -> None:
    page = set_up(american, size="15", kh="71")
    answer = american.post(f"{page}/record/readings", data={"temperature": "77", "kh": "89"})
    assert answer.status_code == 303, answer.text
    tank = open_tank(Person(), "Sill", fake.ports()).tank
    assert tank.volume_l == pytest.approx(56.8, abs=0.1)
    assert tank.source_water.kh_dkh == pytest.approx(4.0, abs=0.03)
    read = {each.quantity: each.value.low for each in tank.readings}
    assert read["temperature"] == pytest.approx(25.0)
    assert read["kh"] == pytest.approx(5.0, abs=0.02)


def test_without_a_choice_a_bare_number_is_metric(keeper: TestClient, fake: FakePorts) -> None:
    page = set_up(keeper, size="57")
    keeper.post(f"{page}/record/readings", data={"temperature": "25", "kh": "5"})
    read = {
        each.quantity: each.value.low
        for each in open_tank(Person(), "Sill", fake.ports()).tank.readings
    }
    assert read == {"temperature": 25.0, "kh": 5.0}


def test_hints_and_labels_name_the_unit_that_is_read(american: TestClient) -> None:
    asked = american.get("/new").text
    assert "US\N{NO-BREAK SPACE}gal" in asked or "US gal" in asked
    assert "in mg/L as CaCO3" in asked
    page = set_up(american, size="15")
    form = american.get(f"{page}/record/readings").text
    assert "\N{DEGREE SIGN}F, as you chose" in form
    assert "mg/L as CaCO3, as you chose" in form


def test_the_choice_is_shown_and_an_unknown_one_is_the_usual(american: TestClient) -> None:
    assert 'value="us" checked' in american.get("/settings").text
    american.post("/settings/units", data={"volume": "hogshead", "warmth": "fahrenheit"})
    shown = american.get("/settings").text
    assert 'value="litre" checked' in shown
    assert 'value="fahrenheit" checked' in shown


def test_nobody_else_is_told_in_them(american: TestClient, fake: FakePorts) -> None:
    american.get("/settings")
    assert current_units().volume == "litre"
    american.cookies.delete("units")
    assert 'value="litre" checked' in american.get("/settings").text


@pytest.mark.parametrize(
    ("typed", "low", "high"),
    [
        ("0.5-1", 0.5, 1.0),
        ("between 0.5 and 1", 0.5, 1.0),
        ("0.5 to 1 mg", 0.5, 1.0),
        ("0,25 mg", 0.25, 0.25),
        ("0.5..1", 0.5, 1.0),
        ("2 ppm", 2.0, 2.0),
    ],
)
def test_a_reading_is_understood_as_people_write_it(
    keeper: TestClient, fake: FakePorts, typed: str, low: float, high: float
) -> None:
    page = set_up(keeper, size="57")
    told = {"nitrite": typed, "nitrite-basis": "n"}
    answer = keeper.post(f"{page}/record/readings", data=told)
    assert answer.status_code == 303, answer.text
    (reading,) = open_tank(Person(), "Sill", fake.ports()).tank.readings
    assert (reading.value.low, reading.value.high) == (low, high)


def test_what_is_wrong_is_told_without_the_lines_of_a_file(keeper: TestClient) -> None:
    answer = keeper.post("/new", data={"name": "Sill", "size": "15 gallons"})
    assert answer.status_code == 422
    wrong = answer.text.partition('id="size-wrong"')[2].partition("</p>")[0]
    assert "more than one meaning" in wrong
    assert "line" not in wrong
    assert "[tank]" not in wrong


def test_gallons_are_those_that_were_chosen(american: TestClient, fake: FakePorts) -> None:
    set_up(american, size="15 gallons")
    assert open_tank(Person(), "Sill", fake.ports()).tank.volume_l == pytest.approx(56.8, abs=0.1)


@pytest.mark.parametrize(("typed", "share"), [("a third", 0.333), ("1/3", 0.333), ("Half", 0.5)])
def test_a_share_is_understood_in_words(
    keeper: TestClient, fake: FakePorts, typed: str, share: float
) -> None:
    page = set_up(keeper, size="57")
    answer = keeper.post(f"{page}/record/change", data={"size": typed, "conditioner": "yes"})
    assert answer.status_code == 303, answer.text
    (change,) = open_tank(Person(), "Sill", fake.ports()).tank.events
    assert isinstance(change, WaterChange)
    assert change.fraction == pytest.approx(share, abs=1e-3)
