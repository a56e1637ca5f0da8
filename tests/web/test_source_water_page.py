"""The page of a water alone: what it is fit for, kind by kind, and a recipe for another."""

from __future__ import annotations

import html
import re

import pytest
from starlette.testclient import TestClient

HARD = {"kh": "11", "gh": "15", "nitrate": "30", "tap": "chloramine", "disinfectant": "2"}
WANTED = {"want-gh": "4..8", "want-kh": "2..4", "want-nitrate": "< 20", "membrane": "yes"}


def said(text: str) -> str:
    plain = re.sub(r"<[^>]*>", " ", html.unescape(text)).replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", plain)


def test_a_water_is_judged_as_it_is_kind_by_kind(keeper: TestClient) -> None:
    assert keeper.get("/source-water").status_code == 200
    page = keeper.get("/source-water", params=HARD)
    assert page.status_code == 200
    told = said(page.text)
    found = re.search(r"it suits (\d+) of the (\d+) kinds", told)
    assert found is not None
    rows = re.findall(r'<tr><th scope="row">([^<]+)</th><td>([^<]+)</td></tr>', page.text)
    kinds = [fit for _, fit in rows if re.search(r"in its range|too|brackish", fit)]
    assert len(kinds) == int(found[2])
    assert kinds.count("in its range") == int(found[1])
    assert any("too hard" in each for each in kinds)
    assert "For 10.0 L take" not in told
    assert "/blueprint?" in page.text


def test_another_water_is_mixed_where_one_is_wanted(keeper: TestClient) -> None:
    told = said(keeper.get("/source-water", params={**HARD, **WANTED, "bucket": "20"}).text)
    assert "What you want can be mixed from it" in told
    assert "For 20.0 L take" in told
    none = said(keeper.get("/source-water", params={**HARD, "want-gh": "1..2"}).text)
    assert "cannot be mixed from what is at hand" in none
    assert "reverse osmosis" in none


def test_a_plan_leads_to_its_water_and_back(keeper: TestClient) -> None:
    size = {"length": "60", "width": "30", "height": "36"}
    plan = keeper.get("/blueprint", params={**size, **HARD}).text
    found = re.search(r'href="(/source-water\?[^"]+)"', plan)
    assert found is not None
    page = keeper.get(html.unescape(found[1]))
    assert page.status_code == 200
    assert 'value="11"' in page.text


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"kh": "soft"}, "kh"),
        ({"want-gh": "8..4"}, "want-gh"),
        ({"want-sodium": "little"}, "want-sodium"),
        ({"scale": "0"}, "scale"),
        ({"bucket": "0"}, "bucket"),
        ({"hour-worth": "much"}, "hour-worth"),
        ({"disinfectant": "some"}, "disinfectant"),
        ({"ph": "4.2"}, "ph"),
    ],
)
def test_what_cannot_be_read_stands_at_its_field(
    keeper: TestClient, typed: dict[str, str], field: str
) -> None:
    page = keeper.get("/source-water", params={**HARD, **typed})
    assert page.status_code == 422
    place = re.search(rf'id="{field}-wrong">(.*?)</div>', page.text, re.DOTALL)
    assert place is not None, said(page.text)[:1500]
    assert "--" not in said(place[1])
    assert f'value="{next(iter(typed.values()))}"' in page.text
    assert keeper.get("/source-water", params={**HARD, **typed, "live": "1"}).status_code == 200


def test_a_report_that_cannot_be_says_which_ions(keeper: TestClient) -> None:
    odd = {"calcium": "80", "sodium": "2", "chloride": "5", "sulfate": "4", "kh": "1", "gh": "11.5"}
    page = keeper.get("/source-water", params=odd)
    assert page.status_code == 422
    assert "charges cannot balance" in said(page.text)


def test_a_report_in_a_file_fills_the_form_in(keeper: TestClient) -> None:
    text = (
        "quantity,value,unit\nCa,82,mg/L\nhydrogen carbonate,240,mg/L\n"
        "chloramine,1.5,mg/L\nkh,11,\n"
    )
    sent = {"file": ("report.csv", text.encode(), "text/csv")}
    answer = keeper.post("/source-water/file", files=sent)
    assert answer.status_code == 303
    page = keeper.get(answer.headers["location"])
    assert page.status_code == 200
    for value in ("82 mg/L", "240 mg/L", "11 dKH", "1.5"):
        assert f'value="{value}"' in page.text
    assert re.search(r'value="chloramine" checked', page.text)
    odd = {"file": ("report.csv", b"quantity,value\nsulfite,3\n", "text/csv")}
    wrong = keeper.post("/source-water/file", files=odd)
    assert wrong.status_code == 422
    assert "line 2" in said(wrong.text)
    assert keeper.post("/source-water/file", data={"request": "a"}).status_code == 422
