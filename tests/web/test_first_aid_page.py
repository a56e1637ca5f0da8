"""First aid in a browser: for anybody, without scripts, and kept where there is no network."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from watervane.web.shell import shell_list


def test_a_stranger_gets_first_aid_and_nothing_else(stranger: TestClient) -> None:
    page = stranger.get("/first-aid")
    assert page.status_code == 200
    assert "Move the surface, now." in page.text
    assert "/settings" not in page.text
    assert "manifest" not in page.text
    assert stranger.get("/").status_code == 403
    assert stranger.get("/first-aidx").status_code == 403
    assert stranger.post("/first-aid").status_code in (403, 405)


def test_whoever_is_refused_is_led_there(stranger: TestClient) -> None:
    page = stranger.get("/").text
    body = page[page.index("<h1") :]
    assert 'href="/first-aid"' in body
    assert 'href="/"' not in body  # it would lead to the same refusal


def test_a_keeper_sees_the_menu_too(keeper: TestClient) -> None:
    page = keeper.get("/first-aid").text
    assert "/settings" in page
    assert 'aria-current="page">First aid' in page


def test_under_each_sign_the_first_deeds_stand_before_the_next_question(
    stranger: TestClient,
) -> None:
    page = stranger.get("/first-aid").text
    gasping = page[page.index("They gasp at the surface") : page.index("They dart")]
    order = ["Dry your hands", "Move the surface, now.", "ammonia", " next; that tells",
             "What happened?", "Tap water"]  # fmt: skip
    places = [gasping.index(text) for text in order]
    assert places == sorted(places)
    first = re.sub(r"<[^>]+>", " ", gasping[: gasping.index(" next; that tells")])
    assert len(first.split()) < 200, "what to do first and to measure next: read in a minute"
    assert page.count("at-once") == 7


def test_what_was_tapped_goes_along_to_the_form(stranger: TestClient) -> None:
    page = stranger.get("/first-aid").text
    fold = page[page.index("They gasp at the surface") : page.index("They dart")]
    links = re.findall(r'href="([^"#]+)#tests">Add what you read', fold)
    assert len(links) == len(set(links)) == 13
    led = stranger.get(next(each for each in links if "unsure" in each).replace("&amp;", "&"))
    assert re.search(r'value="gasping" checked', led.text)
    assert re.search(r'value="unsure" checked', led.text)
    assert 'href="/first-aid?see=gasping#happened"' in fold  # of several deeds, too
    assert 'id="tests"' in page
    assert 'id="happened"' in page
    told = stranger.get("/first-aid?see=gasping&done=unsure&ammonia=some").text
    answer = told[: told.index("sharper")]
    assert "You told: They gasp at the surface, or breathe fast; Ammonia some." in answer


def test_each_case_tells_only_what_is_left_to_do(stranger: TestClient) -> None:
    page = stranger.get("/first-aid").text
    fold = page[page.index("They gasp at the surface") : page.index("They dart")]
    assert fold.count("Move the surface, now.") == 1
    starts = re.findall(r'start="(\d+)"', fold)
    assert starts == ["6"] * 13
    case = fold[fold.index("Tap water went in") : fold.index("Water was changed or topped")]
    assert case.index("Chlorine: does the dose of step 5") < case.index("Give no food")
    assert case.index(" next; that tells") < case.index("Not in this hour")


def test_without_a_change_of_water_it_says_why(stranger: TestClient) -> None:
    read = "/first-aid?see=gasping&ammonia=some&ph=high"
    assert "No water change in this hour. New water" in stranger.get(read).text
    told = stranger.get(f"{read}&done=none").text
    assert "Change a fifth of the water" in told
    assert "No water change" not in told


LED = re.compile(r'class="after-hour">(.*?)</p>')


def test_after_the_hour_a_stranger_is_led_to_the_tests(stranger: TestClient) -> None:
    page = stranger.get("/first-aid?see=gasping").text
    assert LED.findall(page) == ['<a href="#tests">Add what you read</a>']


def test_after_the_hour_a_keeper_is_led_to_the_tanks(keeper: TestClient) -> None:
    assert 'href="/">To your tanks' in LED.findall(keeper.get("/first-aid?see=gasping").text)[0]


def test_three_answers_come_back_with_the_hour_and_are_still_ticked(stranger: TestClient) -> None:
    page = stranger.get("/first-aid?see=gasping&done=water-raw&done=heat&ph=low").text
    order = [
        page.index(text) for text in ("Dry your hands", "Move the surface", "Dose conditioner")
    ]
    assert order == sorted(order)
    assert re.search(r'value="gasping" checked', page)
    assert len(re.findall(r'name="done" value="[a-z-]+" checked', page)) == 2
    assert 'value="low" selected' in page


def test_wrong_answers_come_back_at_their_places(stranger: TestClient) -> None:
    page = stranger.get("/first-aid?see=xyz&done=moon&done=heat&ph=<b>")
    assert page.status_code == 422
    assert "<b>" not in page.text
    for name in ("see", "done", "ph"):
        assert f'id="{name}-wrong"' in page.text
    assert re.search(r'value="heat" checked', page.text)


def test_not_knowing_the_rest_takes_nothing_away_from_what_is_ticked(stranger: TestClient) -> None:
    ticked = "/first-aid?see=gasping&ph=low&done=water-raw&done=months"
    page = stranger.get(f"{ticked}&done=unsure").text
    told = page[page.index("aid-answer") : page.index("sharper")]
    assert "the likeliest are chlorine of the tap" in told
    assert "What you ticked counts." in told
    page = stranger.get(f"{ticked}&done=none").text
    told = page[page.index("<h1") : page.index("sharper")]
    assert "the likeliest are chlorine of the tap" in told
    assert "the others count" in told
    assert len(re.findall(r'name="done" value="[a-z-]+" checked', page)) == 3


@pytest.mark.parametrize(
    "query", ["see=", "done=" + "x" * 5000, "ammonia=9e999", "see=%00&ph=%F0%9F"]
)
def test_odd_questions_never_fail_inside(stranger: TestClient, query: str) -> None:
    assert stranger.get(f"/first-aid?{query}").status_code in (200, 422)


def test_it_needs_no_script(stranger: TestClient) -> None:
    page = stranger.get("/first-aid").text
    bare = re.sub(r"<script.*?</script>", "", page, flags=re.DOTALL)
    assert bare.count("<details>") > 80
    assert 'method="get"' in bare


def test_it_is_among_what_a_browser_keeps(keeper: TestClient) -> None:
    assert "/first-aid" in shell_list([])["pages"]
    worker = keeper.get("/shell.js").text
    assert "first-aid" in worker
    assert any("first_aid.css" in name for name in shell_list([])["files"])
