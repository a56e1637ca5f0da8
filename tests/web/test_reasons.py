"""What was taken for granted stands on the page, though the forecast was made elsewhere."""

from __future__ import annotations

import html
import json

from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from starlette.testclient import TestClient
from web_club import calm_day, computed

from watervane.exchange.forecast_json import forecast_document
from watervane.exchange.forecast_reader import forecast_of_text
from watervane.wording.summary import assumption_sentences


def test_assumptions_come_with_the_forecast_of_the_journal(
    keeper: TestClient, fake: FakePorts
) -> None:
    answer = keeper.post("/new", data={"name": "Sill", "size": "57", "filled": "2026-03-01"})
    computed(fake, {"Sill": calm_day()}, sample_forecast())
    page = html.unescape(keeper.get(answer.headers["location"]).text)
    told = assumption_sentences(sample_forecast())
    assert told
    assert told[0].replace("\N{NO-BREAK SPACE}", " ") in page.replace("\N{NO-BREAK SPACE}", " ")


def test_findings_are_read_back_with_their_sources_and_old_documents_have_none() -> None:
    document = json.loads(json.dumps(forecast_document(sample_forecast())))
    made = forecast_of_text(json.dumps(document))
    for one, other in zip(made.assumptions, sample_forecast().assumptions, strict=True):
        assert (one.key, one.severity, one.source) == (other.key, other.severity, other.source)
    del document["assumptions"]
    del document["diagnostics"]["findings"]
    assert forecast_of_text(json.dumps(document)).assumptions == ()
