"""The page that plans a tank: a whole plan of what is typed, errors at their fields, a start."""

from __future__ import annotations

import html
import re
import tomllib

import pytest
from fake_ports import FakePorts
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from watervane.app import add_tank, list_tanks, open_tank
from watervane.records import Person
from watervane.web.forms.blueprint import CHECKS, CHOICES, PARTS
from watervane.web.forms.blueprint_words import blueprint_words

ASKED = {
    "name": "Study",
    "shape": "rectangular",
    "length": "60",
    "width": "30",
    "height": "36",
    "measured": "outside",
    "glass": "6",
    "bed": "gravel",
    "bed-front": "3",
    "bed-back": "6",
    "floor": "timber",
    "span": "3.5",
    "lies": "across",
    "coldest": "17",
    "warmest": "28",
    "tariff": "0.30",
    "species-1": "Danio rerio",
    "count-1": "10",
    "kh": "11",
    "gh": "15",
    "nitrate": "30",
    "tap": "chloramine",
    "disinfectant": "2",
}
QUESTIONS = ("floor", "glass", "water", "bed", "filter", "heat", "tap", "shop", "steps", "always",
             "next")  # fmt: skip


def said(text: str) -> str:
    plain = re.sub(r"<[^>]*>", " ", html.unescape(text)).replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", plain)


def test_the_form_is_there_before_anything_is_typed(keeper: TestClient) -> None:
    page = keeper.get("/blueprint")
    assert page.status_code == 200
    for first, more in PARTS.values():
        for name in (*first, *more):
            assert f'name="{name}"' in page.text, name
    assert 'id="plan-floor"' not in page.text
    assert 'href="/blueprint"' in keeper.get("/new").text


def test_a_whole_plan_stands_in_the_order_of_a_keepers_questions(keeper: TestClient) -> None:
    page = keeper.get("/blueprint", params=ASKED)
    assert page.status_code == 200
    places = [page.text.index(f'id="plan-{name}"') for name in QUESTIONS]
    assert places == sorted(places)
    told = said(page.text)
    for words in ("kg in all come down", "factor of", "L of gravel", "litre rating", "kWh",
                  "By pH, GH and KH it suits", "residual-current", "no certificate",
                  "builders' custom without a source", "[from memory]",
                  "= 0.73"):  # fmt: skip
        assert words in told, words
    for command in ("--", "watervane fill"):
        assert command not in told
    assert 'value="60"' in page.text
    assert page.text.count("<svg class") >= 1
    assert page.text.count('role="img"') == 2


def test_size_alone_is_enough_and_what_is_assumed_is_said(keeper: TestClient) -> None:
    page = keeper.get("/blueprint", params={"length": "60", "width": "30", "height": "36"})
    assert page.status_code == 200
    told = said(page.text)
    for words in ("6 mm is planned", "timber over 400 cm is assumed", "No animal is named",
                  "Nothing is told of the tap water yet"):  # fmt: skip
        assert words in told, words


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"length": "long"}, "length", ""),
        ({"width": ""}, "width", "needs its width"),
        ({"height": "-3"}, "height", ""),
        ({"glass": "400"}, "glass", "fills a tank"),
        ({"water-depth": "50"}, "water-depth", "deep in a tank"),
        ({"bed-front": "35"}, "bed-front", "thinner bed"),
        ({"bed-front": "deep"}, "bed-front", "not a number"),
        ({"coldest": "30"}, "coldest", "warmer than the warmest"),
        ({"water": "60"}, "water", "out of range"),
        ({"target": "0.01"}, "target", "starves"),
        ({"count-1": "some"}, "count-1", "not a number"),
        ({"species-1": "", "count-1": "3"}, "species-1", "needed"),
        ({"kh": "soft"}, "kh", ""),
        ({"calcium": "much"}, "calcium", "no number"),
        ({"want-gh": "8..4"}, "want-gh", "range"),
        ({"want-gh": "low"}, "want-gh", "no range"),
        ({"tariff": "cheap"}, "tariff", "not a number"),
        ({"shape": "cube", "width": "30"}, "length", "A cube has one size"),
        ({"shape": "pyramid"}, "shape", "none of the answers"),
        ({"shape": "polygon", "corners": "0,0 60,0"}, "corners", "at least three"),
        ({"shape": "polygon", "corners": "0,0 60,0 0,30 60,30"}, "corners", "cross"),
        ({"span": "0"}, "span", "no number"),
        ({"stand": "20 cm"}, "stand", ""),
        ({"humidity": "120"}, "humidity", "not a number"),
    ],
)
def test_what_cannot_be_read_stands_at_its_field_and_all_is_kept(
    keeper: TestClient, typed: dict[str, str], field: str, words: str
) -> None:
    page = keeper.get("/blueprint", params={**ASKED, **typed})
    assert page.status_code == 422
    place = re.search(rf'id="{field}-wrong">(.*?)</div>', page.text, re.DOTALL)
    assert place is not None, said(page.text)[:1500]
    assert words in said(place[1])
    assert "--" not in said(place[1])
    assert f'href="#{field}"' in page.text
    for name, value in {**ASKED, **typed}.items():
        if value and name not in (*CHOICES, "shape"):
            assert f'name="{name}" type="text"' in page.text
            assert f'value="{html.escape(value)}"' in page.text, name


def test_a_water_that_cannot_be_takes_only_its_own_answer_away(keeper: TestClient) -> None:
    odd = {"calcium": "80", "sodium": "2", "chloride": "5", "sulfate": "4", "kh": "1", "gh": "11.5"}
    page = keeper.get("/blueprint", params={**ASKED, **odd})
    assert page.status_code == 422
    assert "charges cannot balance" in said(page.text)
    assert "the plan is worked out without its ions" in said(page.text)
    assert 'id="plan-floor"' in page.text


def test_a_recipe_is_there_where_other_water_is_wanted(keeper: TestClient) -> None:
    wanted = {"want-gh": "4..8", "want-kh": "2..4", "membrane": "yes"}
    told = said(keeper.get("/blueprint", params={**ASKED, **wanted}).text)
    assert "For 10.0 L take" in told
    assert "reverse osmosis" in told
    assert "mixed-integer programming" in told


def test_a_used_tank_and_a_thin_one_are_told_so(keeper: TestClient) -> None:
    thin = {"length": "150", "height": "60", "width": "50", "glass": "6", "second-hand": "yes"}
    told = said(keeper.get("/blueprint", params={**ASKED, **thin}).text)
    for words in ("things stand against it", "Against it", "looks too thin", "look at every seam",
                  "structural engineer"):  # fmt: skip
        assert words in told, words


def test_animals_named_are_told_whether_they_can_live_together_here(keeper: TestClient) -> None:
    more = {"species-2": "Betta splendens", "count-2": "1", "change": "25 %"}
    told = said(keeper.get("/blueprint", params={**ASKED, **more}).text)
    assert "Can these animals live here together?" in told
    assert "wants a tank 80 cm long to swim in; this one has 58.8 cm inside" in told
    assert "What would help" in told
    unknown = said(keeper.get("/blueprint", params={**ASKED, "species-1": "Danio reri"}).text)
    assert "That cannot be told yet" in unknown
    assert "Danio rerio" in unknown
    nobody = {**ASKED, "species-1": "", "count-1": ""}
    assert "live here together" not in said(keeper.get("/blueprint", params=nobody).text)
    odd = keeper.get("/blueprint", params={**ASKED, "change": "often"})
    assert odd.status_code == 422
    assert 'id="change-wrong"' in odd.text


def test_every_finding_of_a_plan_is_told_once(keeper: TestClient) -> None:
    """None falls between the questions."""
    from watervane.app.planning_pages import plan_together
    from watervane.bootstrap import real_ports
    from watervane.wording.blueprint_page import always_minded, later_answers, plan_answers

    odd = {"length": "150", "width": "50", "height": "60", "second-hand": "yes", "heater": "5",
           "flow": "10", "species-2": "Gleephus nobodyi", "count-2": "2", "warmest": "33",
           "machines": "60", "water": "24"}  # fmt: skip
    words, wrong = blueprint_words({**ASKED, **odd})
    assert not wrong
    plan = plan_together(Person(), words, real_ports()).blueprint
    assert plan is not None
    answers = (*plan_answers(plan), *later_answers(plan))
    told = [each for answer in answers for each in (*answer.wrong, *answer.mind)]
    told += always_minded(plan)
    of_animals = {each.key for each in plan.findings if each.key.startswith("choose-")}
    assert "choose-hot-days" in of_animals  # told with who can live together
    others = [each.key for each in plan.findings if each.key not in of_animals]
    assert sorted(each.key for each in told) == sorted(others)


def test_units_of_the_reader_are_asked_and_told(keeper: TestClient) -> None:
    keeper.cookies.set("units", "us.fahrenheit.caco3.usual")
    warm = {"coldest": "63", "warmest": "82", "water": "77", "kh": "196", "gh": "268"}
    page = keeper.get("/blueprint", params={**ASKED, **warm})
    assert page.status_code == 200
    told = said(page.text)
    assert "Water, °F" in told
    assert "°C" not in told
    assert "US gal" in told
    assert "77.0 °F" in told


def test_the_plan_is_handed_over_as_a_tank_file(keeper: TestClient) -> None:
    answer = keeper.get("/blueprint/tank-file", params={**ASKED, "filled": "2026-03-01"})
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == 'attachment; filename="study.tank.toml"'
    told = tomllib.loads(answer.text)
    assert told["tank"]["name"] == "Study"
    assert str(told["tank"]["filled"]) == "2026-03-01"
    assert told["source_water"]["kh"].startswith("11")
    wrong = keeper.get("/blueprint/tank-file", params={**ASKED, "filled": "soon"})
    assert wrong.status_code == 422
    odd = {**ASKED, "name": 'a"/\r\nb: c'}
    assert (
        '"a-b-c.tank.toml"'
        in keeper.get("/blueprint/tank-file", params=odd).headers["content-disposition"]
    )


def test_start_takes_it_into_the_journal_once(keeper: TestClient, fake: FakePorts) -> None:
    sent = {**ASKED, "filled": "2026-03-01", "request": "a"}
    first = keeper.post("/blueprint/start", data=sent)
    assert first.status_code == 303
    again = keeper.post("/blueprint/start", data=sent)
    assert again.headers["location"] == first.headers["location"]
    (known,) = list_tanks(Person(), fake.ports())
    tank = open_tank(Person(), known.name, fake.ports()).tank
    assert (tank.name, f"{tank.filled}") == ("Study", "2026-03-01")
    assert tank.shape is not None
    assert (tank.shape.length_cm, tank.shape.measured) == (60, "outside")
    assert tank.source_water.kh_dkh == pytest.approx(11, abs=0.1)
    assert tank.source_water.chloramine_mg_per_l == pytest.approx(2, abs=0.01)
    assert tank.events == ()
    taken = keeper.post("/blueprint/start", data={**sent, "request": "b"})
    assert taken.status_code == 422
    assert 'id="name-wrong"' in taken.text
    late = keeper.post("/blueprint/start", data={**sent, "filled": "once", "request": "c"})
    assert late.status_code == 422
    assert 'value="once"' in late.text
    bad = keeper.post("/blueprint/start", data={**sent, "length": "long", "request": "d"})
    assert bad.status_code == 422
    assert len(list_tanks(Person(), fake.ports())) == 1


NAMES = [name for first, more in PARTS.values() for name in (*first, *more)]
TYPED = st.text("0123456789 .,x-cmkgLW°/<>=&abc∞−", max_size=12)


@settings(deadline=None, max_examples=60)
@given(st.dictionaries(st.sampled_from(NAMES), TYPED, max_size=6))
def test_whatever_is_typed_is_answered(odd: dict[str, str]) -> None:
    """Words or problems, and every problem is one a field can show."""
    words, wrong = blueprint_words({**ASKED, **odd})
    assert words["name"]
    assert set(wrong) <= set(NAMES)


@pytest.mark.parametrize("odd", [{name: "∞"} for name in NAMES if name not in (*CHECKS, *CHOICES)])
def test_a_sign_that_is_no_number_breaks_no_page(keeper: TestClient, odd: dict[str, str]) -> None:
    answer = keeper.get("/blueprint", params={**ASKED, **odd})
    assert answer.status_code in (200, 422)


def test_the_plan_is_handed_over_as_a_sheet(keeper: TestClient) -> None:
    sent = keeper.get("/blueprint/sheet", params={**ASKED, "filled": "2026-03-20"})
    assert sent.headers["content-type"] == "application/pdf"
    assert sent.headers["content-disposition"] == 'attachment; filename="study.pdf"'
    assert sent.content.startswith(b"%PDF")
    assert 'formaction="/blueprint/sheet"' in keeper.get("/blueprint", params=ASKED).text


def test_no_sheet_is_made_of_what_cannot_be_read(keeper: TestClient) -> None:
    for wrong in ({"length": "long"}, {"filled": "soon"}):
        page = keeper.get("/blueprint/sheet", params={**ASKED, **wrong})
        assert page.status_code == 422
        assert f'value="{next(iter(wrong.values()))}"' in page.text


def test_a_shelf_is_never_told_as_fit(keeper: TestClient) -> None:
    told = said(keeper.get("/blueprint", params={**ASKED, "on": "shelf"}).text)
    assert "nothing stands against it" not in told
    assert "usually it is not fit" in told
    assert "Ask who made it, and a licensed trade" in told


def test_a_tap_told_of_for_a_tank_is_offered_and_taken(keeper: TestClient, fake: FakePorts) -> None:
    sizes = {"length": "60", "width": "30", "height": "36", "name": "Next"}
    assert "Take the tap" not in keeper.get("/blueprint", params=sizes).text
    tap = ("source_water.ph=7.6", "source_water.kh=5 dKH", "source_water.nitrate=5 mg/L",
           "source_water.chloramine=1.5 mg/L")  # fmt: skip
    words = ("filled=2026-03-01", "volume=57 L")
    for name in ("Study", "Hall"):
        add_tank(Person(), fake.ports(), name=name, words=(*words, *tap))
    add_tank(Person(), fake.ports(), name="Bare", words=words)
    page = keeper.get("/blueprint", params=sizes).text
    (told,) = re.findall(r'name="take" value="([^"]+)">([^<]+)<', page)
    assert told[1] == "Take the tap of Hall and Study"
    taken = keeper.get("/blueprint/tap", params={**sizes, "ph": "6", "take": told[0]})
    assert taken.status_code == 303
    after = keeper.get(taken.headers["location"]).text
    assert 'name="ph" value="7.6"' in re.sub(r'id="ph" | type="text"', "", after)
    assert "Next" in after
    assert "Nothing is told of the tap water yet" not in after
    assert keeper.get("/blueprint/tap", params={"take": "nobody"}).status_code == 404


def test_planning_is_one_step_from_the_rounds(keeper: TestClient, fake: FakePorts) -> None:
    assert 'href="/blueprint"' in keeper.get("/").text
    add_tank(Person(), fake.ports(), name="Study", words=("filled=2026-03-01", "volume=57 L"))
    assert 'href="/blueprint"' in keeper.get("/").text


def test_animals_that_cannot_live_in_the_plan_stand_against_it_with_a_way_out(
    keeper: TestClient,
) -> None:
    """List and steps are for the others alone, and the page says so."""
    many = {"length": "80", "width": "35", "height": "40", "glass": "8", "kh": "10", "gh": "14",
            "on": "stand", "species-1": "guppy", "count-1": "6", "species-2": "angelfish",
            "count-2": "2"}  # fmt: skip
    page = keeper.get("/blueprint", params=many).text
    told = said(page)
    assert "Not all of the animals you named can live in this plan" in told
    assert "nothing stands against it" not in told
    assert "Angelfish wants a tank 120 cm long" in told
    days = told.partition("What is done when")[2]
    assert "Poecilia reticulata" in days or "guppy" in days
    assert "angelfish" not in days.lower()
    (way,) = re.findall(
        r'<a href="(/blueprint\?[^"]*)">Keep only these animals among your wishes', page
    )
    after = keeper.get(html.unescape(way)).text
    assert "Not all of the animals" not in said(after)
    assert "angelfish, 13 cm" not in said(after)
    assert 'value="Poecilia reticulata"' in after


def test_six_kinds_are_asked_at_once_and_more_behind_a_fold(keeper: TestClient) -> None:
    page = keeper.get("/blueprint").text
    shown, _, hidden = page.partition("More animals")
    assert 'id="species-6"' in shown
    assert 'id="species-7"' not in shown
    assert 'id="species-12"' in hidden
    told = keeper.get("/blueprint", params={"species-14": "guppy"}).text
    assert 'id="species-14"' in told
