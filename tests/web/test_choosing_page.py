"""The page that chooses animals: numbers and reasons of what is typed, errors at their rows."""

from __future__ import annotations

import html
import re

import pytest
from starlette.testclient import TestClient

TANK = {"length": "100", "width": "40", "height": "50", "glass": "8", "name": "Hall"}
WATER = {"kh": "1", "gh": "6", "ph": "7"}
WISHES = {
    "species-1": "neon tetra",
    "count-1": "12",
    "species-2": "Corydoras aeneus",
    "species-3": "guppy",
    "weight-3": "2",
}
ASKED = {**TANK, **WATER, **WISHES, "change": "30 L", "warmest": "26"}


def said(text: str) -> str:
    plain = re.sub(r"<[^>]*>", " ", html.unescape(text)).replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", plain)


def link(page: str, label: str) -> str:
    found = re.search(rf'<a[^>]*href="([^"]*)"[^>]*>{label}', page)
    assert found is not None, label
    return html.unescape(found[1])


def test_the_form_comes_first_and_offers_names(keeper: TestClient) -> None:
    page = keeper.get("/blueprint/choose")
    assert page.status_code == 200
    for row in (1, 6, 25):
        assert f'name="species-{row}" type="text"' in page.text
    assert page.text.count("<datalist") == 1
    assert '<option value="neon tetra">' in page.text
    assert '<option value="Corydoras aeneus">' in page.text
    assert "the answer stands here" in said(page.text)


def test_numbers_reasons_and_what_binds_stand_in_order(keeper: TestClient) -> None:
    page = keeper.get("/blueprint/choose", params=ASKED)
    assert page.status_code == 200, said(page.text)[:600]
    told = said(page.text)
    places = [page.text.index(f'id="plan-{name}"') for name in ("numbers", "helps", "left", "next")]
    assert places == sorted(places)
    for words in ("Not every wish can be met", "Best numbers: neon tetra (12)",
                  "held against pH", "What all of them share",
                  "One more bronze corydoras needs", "Guppy wants KH ",
                  "mixed-integer programming", "reviewed twice", "Source:"):  # fmt: skip
        assert words in told, words
    for command in ("--", "watervane "):
        assert command not in told
    for name, value in ASKED.items():
        assert f'value="{value}"' in page.text, name


def test_a_room_that_binds_is_told_with_this_tanks_figures(keeper: TestClient) -> None:
    few = {**TANK, **WATER, "species-1": "Danio rerio", "count-1": "40", "change": "10 L"}
    told = said(keeper.get("/blueprint/choose", params=few).text)
    assert "The weekly water change holds it back. One more zebra danio needs" in told
    assert "You change 10 L a week" in told


def test_each_change_that_helps_is_one_way_away(keeper: TestClient) -> None:
    """Every way named on the page leads to a choice that meets every wish."""
    hard = {**ASKED, "change": "8 L", "count-2": "14"}
    few = {**TANK, **WATER, "species-1": "Danio rerio", "count-1": "40", "change": "10 L"}
    warm = {**few, "change": "60 L", "water": "16"}
    small = {**few, "change": "90 L", "media-volume": "0.1"}
    tried = 0
    for asked in (ASKED, hard, few, warm, small):
        page = keeper.get("/blueprint/choose", params=asked).text
        ways = re.findall(r'<li>[^<]*<a href="(/blueprint/choose[^"]*)"', page)
        for way in ways:
            assert "Every wish can be met" in said(keeper.get(html.unescape(way)).text), way
        tried += len(ways)
    assert tried > 5


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"species-2": "Corydorus aenus"}, "species-2", "Corydoras aeneus"),
        ({"species-2": "zzzyx"}, "species-2", "no animal called"),
        ({"species-2": "Paracheirodon innesi"}, "species-2", "wished for twice"),
        ({"species-2": "tetra, blue"}, "species-2", "is no wish"),
        ({"species-2": "", "count-2": "4"}, "species-2", "needed"),
        ({"count-1": "some"}, "count-1", "not a number"),
        ({"weight-3": "much"}, "weight-3", "none of the answers"),
        ({"length": "long"}, "length", ""),
        ({"height": ""}, "height", "needs its height"),
        ({"kh": "soft"}, "kh", ""),
        ({"nitrate": "60"}, "", "more than the 10"),
        ({"change": "often"}, "change", "not a number"),
        ({"water": "60"}, "water", ""),
        ({"coldest": "30"}, "coldest", "warmer"),
    ],
)
def test_what_cannot_be_stands_at_its_field_and_all_is_kept(
    keeper: TestClient, typed: dict[str, str], field: str, words: str
) -> None:
    page = keeper.get("/blueprint/choose", params={**ASKED, **typed})
    assert page.status_code == 422
    if field:
        place = re.search(rf'id="{field}-wrong">(.*?)</div>', page.text, re.DOTALL)
        assert place is not None, said(page.text)[:1500]
        assert words in said(place[1])
        assert "--" not in said(place[1])
        assert f'href="#{field}"' in page.text
    else:
        assert words in said(page.text)
    for name, value in {**ASKED, **typed}.items():
        if value and not name.startswith("weight"):
            assert f'value="{html.escape(value)}"' in page.text, name


def test_the_animals_go_over_into_the_plan_and_its_file(keeper: TestClient) -> None:
    page = keeper.get("/blueprint/choose", params={**ASKED, "floor": "timber", "span": "3"}).text
    assert 'type="hidden" name="span" value="3"' in page
    way = link(page, "Plan the tank for these animals")
    plan = keeper.get(way)
    assert plan.status_code == 200
    for name in ("Paracheirodon innesi", "Corydoras aeneus"):
        assert f'value="{name}"' in plan.text
    assert 'name="span" type="text" value="3"' in plan.text
    assert "Every wish can be met" in said(plan.text)
    assert 'id="plan-shop"' in plan.text
    assert "choose?" in link(plan.text, "Choose animals for this tank")
    file = keeper.get(link(page, "Download its tank file"))
    assert file.status_code == 200
    assert "[tank]" in file.text


def test_a_water_is_taken_over_from_its_own_page(keeper: TestClient) -> None:
    water = keeper.get("/source-water", params=WATER).text
    page = keeper.get(link(water, "Choose animals for this water"))
    assert page.status_code == 200
    for name, value in WATER.items():
        assert f'name="{name}" type="text" inputmode="numeric" value="{value}"' in page.text or (
            f'name="{name}" type="text" value="{value}"' in page.text
        )


def test_as_many_kinds_as_were_chosen_have_a_row_in_the_plan(keeper: TestClient) -> None:
    kinds = ("Danio rerio", "neon tetra", "Pangio kuhlii", "Corydoras aeneus", "cherry shrimp")
    many = {f"species-{row}": name for row, name in enumerate(kinds, 1)}
    page = keeper.get("/blueprint", params={**TANK, **many})
    assert 'name="species-5" type="text" value="cherry shrimp"' in page.text
