"""The catalogue of animals in the browser: by name, by water, with a tank's own rows."""

from __future__ import annotations

import html
import re
from datetime import date
from urllib.parse import unquote_plus

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app.animals import animal_names, list_animals, show_animal
from watervane.records import OwnAnimal, Person, SourceWater, Tank
from watervane.reference import AnimalsWanted, catalogue, find_animal, fit
from watervane.units import Span
from watervane.web.forms.catalogue import water_of, words_of


def said(text: str) -> str:
    plain = re.sub(r"<[^>]*>", " ", html.unescape(text)).replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", plain)


def named(text: str) -> list[str]:
    found = re.findall(r'<th scope="row"><a href="/animals\?name=([^"&]+)', text)
    return [unquote_plus(html.unescape(each)) for each in found]


def test_all_animals_are_listed_and_each_leads_to_its_page(keeper: TestClient) -> None:
    page = keeper.get("/animals")
    assert page.status_code == 200
    names = named(page.text)
    assert sorted(names) == sorted(animal.scientific_name for animal in catalogue())
    told = keeper.get("/animals", params={"name": names[7]})
    assert told.status_code == 200
    assert names[7] in said(told.text)


def test_one_animal_tells_every_value_its_source_grade_care_and_law(keeper: TestClient) -> None:
    told = said(keeper.get("/animals", params={"name": "clown loaches"}).text)
    loach = find_animal("clown loach")
    assert "Chromobotia macracanthus" in told
    assert f"{loach.typical_length_cm:g} cm" in told
    for text in ("Outgrows home tanks", "Two reviews", "no legal advice", "veterinarian", "source"):
        assert text in told
    assert "watervane animals" not in told
    assert "not known" in said(keeper.get("/animals", params={"name": "Melanotaenia"}).text)


def test_an_unknown_name_is_kept_and_the_nearest_are_offered(keeper: TestClient) -> None:
    page = keeper.get("/animals", params={"name": "zebra fsh"})
    assert page.status_code == 404
    assert 'value="zebra fsh"' in page.text
    assert 'href="/animals?name=zebrafish"' in page.text
    lost = keeper.get("/animals", params={"name": "qqqq<b>"})
    assert "Try its scientific name." in said(lost.text)
    assert "<b>" not in lost.text


def test_a_water_lists_those_it_suits_those_at_the_edge_and_the_unknown(
    keeper: TestClient,
) -> None:
    water = {"ph": "7.4..7.8", "gh": "12 dGH", "temperature": "24", "kh": "6", "kind": "fish"}
    page = keeper.get("/animals", params=water)
    spans = {"ph": Span(7.4, 7.8), "gh": Span(12, 12), "temperature": Span(24, 24)}
    spans["kh"] = Span(6, 6)
    wanted = AnimalsWanted("fish", spans)
    suits = {a.scientific_name: fit(a, wanted) for a in catalogue()}
    assert set(named(page.text)) == {name for name, how in suits.items() if how != "outside"}
    assert {"good", "edge", "unknown"} <= set(suits.values())
    parts = page.text.split("<h3")[1:]
    for title, how in (("Well in", "good"), ("At the edge", "edge"), ("Not known", "unknown")):
        told = [each for each in parts if title in said(each)[:200]]
        wanted_names = {name for name, found in suits.items() if found == how}
        assert {name for part in told for name in named(part)} == wanted_names


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"ph": "soft"}, "ph"),
        ({"ph": "8..7"}, "ph"),
        ({"gh": "4 apples"}, "gh"),
        ({"temperature": "warm"}, "temperature"),
    ],
)
def test_what_cannot_be_read_stands_at_its_field_as_it_was_typed(
    keeper: TestClient, typed: dict[str, str], field: str
) -> None:
    page = keeper.get("/animals", params=typed)
    assert page.status_code == 422
    assert f'id="{field}-wrong"' in page.text
    assert f'value="{typed[field]}"' in page.text


def test_a_reader_of_fahrenheit_is_taken_at_his_units(keeper: TestClient) -> None:
    cold = keeper.get("/animals", params={"temperature": "75", "kind": "fish"})
    sent = {"volume": "us", "warmth": "fahrenheit", "hardness": "caco3", "nitrogen": "ion"}
    keeper.post("/settings/units", data=sent)
    warm = keeper.get("/animals", params={"temperature": "75", "kind": "fish"})
    assert len(named(warm.text)) > 50 > len(named(cold.text))


def test_a_tank_is_looked_up_with_its_own_water(keeper: TestClient) -> None:
    made = {"name": "Sill", "size": "57", "filled": "2026-03-01"}
    home = keeper.post("/new", data=made).headers["location"].partition("?")[0]
    key = home.rpartition("/")[2]
    page = keeper.get("/animals", params={"tank": key})
    assert page.status_code == 200
    assert f'<a href="{home}">Sill</a>' in page.text
    for path in ("bring-home", "record/animals"):
        form = keeper.get(f"{home}/{path}").text
        assert f"/animals?tank={key}" in form
        assert '<option value="neon tetra">' in form
    assert keeper.get("/animals", params={"tank": "none"}).status_code == 404


def test_the_water_of_a_tank_fills_the_form_in_and_its_rows_go_before_ours(
    fake: FakePorts,
) -> None:
    told = SourceWater(ph=7.5, gh_dgh=12.0)
    row = OwnAnimal(
        "cellar barb", {"kind": "fish", "form": "goldfish", "ph_low": "7", "ph_high": "8"}
    )
    tank = Tank(
        "A", date(2026, 3, 1), source_water=told, heater_set_point_c=24.0, own_animals=(row,)
    )
    typed = water_of(tank)
    assert typed == {"ph": "7.5", "gh": "12 dGH", "temperature": "24 degC"}
    words, wrong = words_of(typed, fake.ports())
    assert wrong == {}
    found = list_animals(Person(), None, words, tank.own_animals, fake.ports())
    assert {a.scientific_name: how for a, how in found.animals}["cellar barb"] == "unknown"
    ((one, _),) = show_animal(Person(), "cellar barb", tank.own_animals, fake.ports()).animals
    assert (one.grade, one.ph) == ("yours", Span(7.0, 8.0))
    assert animal_names(tank.own_animals, ["guppy"])[:2] == ("guppy", "cellar barb")


def test_a_blueprint_leads_to_the_animals_of_its_water(keeper: TestClient) -> None:
    size = {"length": "60", "width": "30", "height": "36", "kh": "4", "gh": "8", "ph": "7.2"}
    plan = keeper.get("/blueprint", params={**size, "tap": "chloramine"}).text
    # Its pH is that of the water once it has been aired.
    assert re.search(r"/animals\?ph=7\.\d\.\.8\.\d&amp;gh=8\+dGH&amp;kh=4\+dKH", plan)
