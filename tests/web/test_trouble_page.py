"""Trouble in a browser: a form without scripts, causes and an hour, what is wrong by field."""

from __future__ import annotations

import html
import subprocess
import sys
import textwrap
from datetime import timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import Line, add_tank, record
from watervane.records import Person


def text(page: TestClient, path: str) -> str:
    return html.unescape(page.get(path).text)


def test_the_questions_stand_before_anything_is_told(keeper: TestClient) -> None:
    page = text(keeper, "/trouble")
    assert 'name="see" value="gasping"' in page
    assert "Meanwhile</h2>" not in page
    assert 'href="/first-aid"' in page
    assert "<script>" not in page


def test_causes_checks_and_the_hour_come_of_what_is_told(keeper: TestClient) -> None:
    page = text(keeper, "/trouble?see=gasping&see=darting&after=water-raw&since=hours&ph=7.4")
    order = [
        *("Most likely: chlorine", "Meanwhile</h2>", "Dose conditioner", "Check next, to"),
        *("What it may be</h2>", "When to call for help", "Never release", "Change your answers"),
    ]
    places = [page.index(told) for told in order]
    assert places == sorted(places)
    assert 'value="gasping" checked' in page
    assert 'value="7.4"' in page


def test_what_was_read_is_told_first_whatever_the_cause(keeper: TestClient) -> None:
    page = text(keeper, "/trouble?see=gasping&ammonia=0.5&nitrite=1&days-old=10&ph=8")
    page = page.replace("\N{NO-BREAK SPACE}", " ")
    order = ["harms at once: nitrite over 0.11 mg N/L", "fish that are not named",
             "the useful bacteria do not keep up", "Several causes fit", "Taken as ammonia",
             "was taken as the ion", "Meanwhile</h2>"]  # fmt: skip
    places = [page.index(told) for told in order]
    assert places == sorted(places)
    assert "Nothing stands out" not in page
    assert page.index("No water change in this hour") < page.index("Check next, to")
    hardy = text(keeper, "/trouble?see=gasping&nitrite=0.2&animals=6 Danio rerio")
    assert "no limit of harm that we know for Danio rerio" in hardy
    none = text(keeper, "/trouble?see=gasping")
    assert "Taken as" not in none


def test_warmth_no_tank_can_have_is_asked_about(keeper: TestClient) -> None:
    answer = keeper.get("/trouble?see=gasping&temperature=91")
    assert answer.status_code == 422
    assert 'id="temperature-wrong"' in answer.text
    assert "Write the unit with it" in answer.text
    assert keeper.get("/trouble?see=gasping&temperature=91 F").status_code == 200


def test_nothing_typed_is_lost_where_something_is_wrong(keeper: TestClient) -> None:
    answer = keeper.get("/trouble?see=rubing&ph=19&before-gh=xx&days-old=zz&animals=zz&kh=4")
    page = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "'rubing' is none of the answers to 'What do you see?'. Nearest: rubbing" in page
    assert page.count('id="ph-wrong"') == 1
    assert page.count('id="before-gh-wrong"') == 1
    assert page.count('id="days-old-wrong"') == 1
    for value in ("19", "xx", "zz", "4"):
        assert f'value="{value}"' in page
    assert "--reading" not in page


def test_markup_in_an_answer_stays_text(keeper: TestClient) -> None:
    assert "<b>x" not in keeper.get("/trouble?see=<b>x&ph=<b>x&animals=<b>x").text


def test_the_log_of_a_tank_counts(keeper: TestClient, fake: FakePorts) -> None:
    words = ("filled=2026-03-01", "volume=57 L")
    key = add_tank(Person(), fake.ports(), name="Attic", words=words).receipt.tank
    record(Person(), "Attic", Line("change", ("30%", "conditioner=no")), fake.ports())
    page = text(keeper, f"/tank/{key}/trouble?see=gasping&since=hours")
    assert "Trouble in Attic" in page
    assert "Tap water went in without conditioner" in page[: page.index("Change your answers")]
    assert f'action="/tank/{key}/trouble"' in page
    assert f"/tank/{key}/trouble" in text(keeper, f"/tank/{key}")


def test_there_is_no_such_tank(keeper: TestClient) -> None:
    assert keeper.get("/tank/nope/trouble").status_code == 404


def test_a_stranger_has_first_aid_and_not_this(stranger: TestClient) -> None:
    assert stranger.get("/trouble").status_code == 403


WALK = """
    import sys
    from starlette.testclient import TestClient
    from watervane.bootstrap import real_ports
    from watervane.web import Gate, make_app

    gate = Gate(8460)
    page = TestClient(make_app(real_ports(), gate), "http://127.0.0.1:8460")
    page.get(gate.launch_address)
    assert page.get("/trouble?see=gasping&ammonia=0.5").status_code == 200
    heavy = ("jax", "watervane.engine", "watervane.process.rates", "watervane.inference")
    print([name for name in heavy if name in sys.modules])
"""


@pytest.mark.slow
def test_it_needs_no_model(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    code = textwrap.dedent(WALK)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


def test_the_log_is_named_where_it_speaks_and_what_is_held_against(
    keeper: TestClient, fake: FakePorts
) -> None:
    ports = fake.ports()
    words = ("filled=2026-01-01", "volume=57 L")
    key = add_tank(Person(), ports, name="Study", words=words).receipt.tank
    earlier = ports.journal.now() - timedelta(days=5)
    told = (("feed", ("1 pinch",)), ("reading", ("ph", "6.0")), ("reading", ("nitrate", "80 mg/L")))
    for kind, rest in told:
        record(Person(), "Study", Line(kind, rest, earlier), ports)
    page = text(keeper, f"/tank/{key}/trouble?see=lying&ph=7.4").replace("\N{NO-BREAK SPACE}", " ")
    assert "Held against what your log holds of " in page
    assert "pH 6.0" in page
    assert "nitrate 80" not in page  # held against nothing, as none is read now
    assert "by the log 'No water was changed for months'" in page
    told_too = text(keeper, f"/tank/{key}/trouble?see=lying&ph=7.4&after=months")
    assert "by the log 'No water" not in told_too
    nothing = text(keeper, f"/tank/{key}/trouble?who=untold")
    assert "You told nothing yet" in nothing
