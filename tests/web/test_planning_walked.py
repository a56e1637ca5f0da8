"""What a newcomer stumbled over while planning a tank, and stumbles over no more."""

from __future__ import annotations

import html
import re
import tomllib
from datetime import timedelta
from urllib.parse import parse_qs

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app.blueprint_sheet import blueprint_sheet
from watervane.app.planning_pages import plan_together
from watervane.bootstrap import real_ports
from watervane.records import Person
from watervane.web.forms.blueprint_words import blueprint_words

ASKED = {"name": "Study", "length": "60", "width": "30", "height": "36", "glass": "8",
         "floor": "timber", "span": "3.5", "lies": "across", "on": "stand",
         "species-1": "Danio rerio", "count-1": "10", "kh": "11", "gh": "15", "nitrate": "30",
         "tap": "chloramine", "disinfectant": "2"}  # fmt: skip


def said(text: str) -> str:
    plain = re.sub(r"<[^>]*>", " ", html.unescape(text)).replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", plain)


def test_there_is_always_a_row_more_to_type_an_animal_into(keeper: TestClient) -> None:
    for told in (3, 6, 9):
        page = keeper.get("/blueprint", params={f"species-{told}": "guppy"}).text
        shown, _, _ = page.partition("More animals")
        assert f'id="species-{told + 1}"' in shown


def test_the_catalogue_is_asked_with_the_water_as_it_is_once_aired(keeper: TestClient) -> None:
    water = {"ph": "6.9", "kh": "8", "gh": "11"}
    page = html.unescape(keeper.get("/blueprint", params={**ASKED, **water}).text)
    (query,) = re.findall(r'href="/animals[?]([^"]*)"', page)
    told = {name: value for name, (value,) in parse_qs(query).items()}
    low, high = map(float, told["ph"].split(".."))
    assert 7.0 < low < high
    assert (told["gh"], told["kh"]) == ("11 dGH", "8 dKH")
    assert keeper.get(f"/animals?{query}").status_code == 200


UNBALANCED = {"calcium": "400", "magnesium": "10", "sodium": "5", "potassium": "1",
              "chloride": "10", "sulfate": "20", "bicarbonate": "100"}  # fmt: skip


def test_a_report_that_cannot_balance_keeps_what_holds_beside_its_ions() -> None:
    tap = {"kh": "", "gh": "", "ph": "7.6", "nitrate": "10", "tap": "chloramine",
           "disinfectant": "1"}  # fmt: skip
    words, _ = blueprint_words({**ASKED, **tap, **UNBALANCED})
    told = plan_together(Person(), words, real_ports())
    assert told.water_wrong
    assert told.blueprint is not None
    water = told.blueprint.wish.source_water
    assert (water.chloramine_mg_per_l, water.chlorine_mg_per_l, water.ph) == (1.0, 0.0, 7.6)
    assert water.nitrate_mg_n_per_l == pytest.approx(10 / 4.4268, rel=1e-3)
    assert not told.blueprint.upkeep.disinfectant_assumed


def test_a_report_that_cannot_balance_says_so_at_a_field(keeper: TestClient) -> None:
    page = keeper.get("/blueprint", params={**ASKED, "kh": "", "gh": "", **UNBALANCED})
    assert page.status_code == 422
    assert 'id="calcium-wrong"' in page.text
    assert "worked out without the tap" in said(page.text)


def test_a_misspelt_animal_is_asked_back_and_counts_as_open(keeper: TestClient) -> None:
    typed = {**ASKED, "glass": "8", "on": "stand", "species-1": "Danio rerrio", "count-1": "8"}
    told = said(keeper.get("/blueprint", params=typed).text)
    assert "No table knows this name. Did you mean Danio rerio?" in told
    assert "nothing stands against it" not in told


def test_a_tank_out_of_all_measure_is_asked_back(keeper: TestClient) -> None:
    far = keeper.get("/blueprint", params={**ASKED, "length": "8000"})
    assert far.status_code == 422
    assert 'id="length-wrong"' in far.text
    told = said(keeper.get("/blueprint", params={**ASKED, "length": "1200"}).text)
    assert "is it so?" in told
    assert "e+0" not in told


def test_paper_and_calendar_without_a_date_begin_tomorrow(
    keeper: TestClient, fake: FakePorts
) -> None:
    today = fake.ports().journal.now().date()
    for used in ({}, {"second-hand": "yes"}):
        told = keeper.get("/blueprint/calendar", params={**ASKED, **used}).text
        first = min(re.findall(r"DTSTART;VALUE=DATE:(\d{8})", told))
        assert f"{today:%Y%m%d}" < first <= f"{today + timedelta(days=2):%Y%m%d}"
        assert told.index("Conditioner") < told.index("then the heater")


def test_what_a_tank_file_has_no_key_for_is_kept_in_its_notes(keeper: TestClient) -> None:
    ions = {"calcium": "80", "magnesium": "12", "kh": "10", "gh": "14"}
    answer = keeper.get("/blueprint/tank-file", params={**ASKED, **ions, "filled": "2026-03-01"})
    notes = tomllib.loads(answer.text)["tank"]["notes"]
    assert notes == "Report of the tap: calcium 80 mg/L, magnesium 12 mg/L."


def test_the_sheet_tells_who_can_live_together_and_names_nobody_else_among_its_days() -> None:
    typed = {"length": "80", "width": "35", "height": "40", "glass": "8", "kh": "10", "gh": "14",
             "species-1": "guppy", "count-1": "6", "species-2": "angelfish",
             "count-2": "2"}  # fmt: skip
    words, _ = blueprint_words(typed)
    told = plan_together(Person(), words, real_ports())
    assert told.blueprint is not None
    text = repr(blueprint_sheet(told.blueprint, told.choice))
    assert "Can these animals live here together?" in text
    assert text.count("Stands against it: Not every wish can be met") == 1
    assert "Stands against it: Angelfish" not in text
    assert "Angelfish wants a tank 120 cm long" in text
    assert "angelfish" not in text.partition("What is done when")[2].lower()
