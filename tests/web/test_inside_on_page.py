"""The tank's page tells where the nitrogen is and what the colonies could do."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_inside import sample_colonies, sample_ledger
from sample_today import sample_today
from starlette.testclient import TestClient
from web_club import computed

from watervane.app import Line, add_tank, record
from watervane.records import Person

NAME = "Study"
WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")


@pytest.fixture
def tank(fake: FakePorts) -> str:
    ports = fake.ports()
    key = add_tank(Person(), ports, name=NAME, words=WORDS).receipt.tank
    record(Person(), NAME, Line("reading", ("ammonia", "0.7 mg/L as N")), ports)
    return key


@pytest.fixture
def known(fake: FakePorts, tank: str) -> str:
    forecast = replace(sample_forecast(), ledger=sample_ledger(), colonies=sample_colonies())
    computed(fake, {NAME: sample_today()}, forecast)
    return tank


def _page(keeper: TestClient, key: str) -> str:
    told = keeper.get(f"/tank/{key}")
    assert told.status_code == 200
    return told.text.replace("\N{NO-BREAK SPACE}", " ")


def _part(page: str, name: str) -> str:
    return page.split(f'aria-labelledby="{name}"')[1].split("</section>", maxsplit=1)[0]


def test_both_questions_are_answered_with_sentence_drawing_and_table(
    keeper: TestClient, known: str
) -> None:
    page = _page(keeper, known)
    nitrogen, colonies = _part(page, "nitrogen"), _part(page, "colonies")
    assert "Where is the nitrogen?" in nitrogen
    assert "510 mg of nitrogen came in" in nitrogen
    assert "At the beginning" in nitrogen
    assert "The ammonia eaters carry what is offered" in colonies
    assert "Nitrite eaters, filter" in colonies
    for part in (nitrogen, colonies):
        assert "As of Tuesday 24 March" in part
        assert "<figcaption><p>" in part
        (described,) = re.findall(r'<img [^>]*alt="([^"]+)"', part)
        assert len(described) > 100


def test_drawings_are_sent_in_both_widths_and_lights_and_may_be_kept(
    keeper: TestClient, known: str
) -> None:
    page = _page(keeper, known)
    places = re.findall(r'(?:srcset|src)="(/tank/[^"]+/inside/[^"]+)"', page)
    assert len(places) == 8
    sizes = set()
    for place in places:
        sent = keeper.get(place.replace("&amp;", "&"))
        assert sent.status_code == 200
        assert sent.headers["content-type"].startswith("image/svg+xml")
        assert "max-age=86400" in sent.headers["cache-control"]
        sizes.add(sent.content[:200])
    assert len(sizes) >= 4


def test_without_them_the_page_says_so_and_sends_no_drawing(
    fake: FakePorts, keeper: TestClient, tank: str
) -> None:
    computed(fake, {NAME: sample_today()})
    page = _page(keeper, tank)
    for name in ("nitrogen", "colonies"):
        assert "Not worked out yet" in _part(page, name)
        assert "<img" not in _part(page, name)
    for part in ("ledger", "colonies"):
        assert keeper.get(f"/tank/{tank}/inside/{part}.svg").status_code == 404


def test_strange_parts_and_looks_are_not_found(keeper: TestClient, known: str) -> None:
    assert keeper.get(f"/tank/{known}/inside/else.svg").status_code == 404
    assert keeper.get(f"/tank/{known}/inside/ledger.svg?look=pink").status_code == 404
    assert keeper.get("/tank/none/inside/ledger.svg").status_code == 404


def test_pages_that_show_them_import_no_engine() -> None:
    code = (
        "import sys, watervane.web, watervane.web.inside, watervane.exchange.forecast_reader;"
        "print([m for m in ('jax', 'watervane.engine', 'watervane.process') if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"
