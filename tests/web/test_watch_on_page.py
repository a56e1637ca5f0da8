"""A drift stands on the page of its tank as one quiet sentence, and where none is nothing does."""

from __future__ import annotations

import html
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from fake_ports import FakePorts
from sample_today import sample_today
from starlette.testclient import TestClient
from web_club import computed

from watervane.app import Line, add_tank, record
from watervane.records import Person
from watervane.records.watching import Drift, Watch
from watervane.wording.watch import drift_sentence, is_thin

NOW = datetime.now(UTC).replace(microsecond=0)
DRIFT = Drift(
    "kh-sliding", "kh", NOW - timedelta(days=20), NOW - timedelta(days=1), 3, 6.0, 3.0, -1.0, 4.0
)


@pytest.fixture
def key(fake: FakePorts) -> str:
    words = ("filled=2026-03-01", "volume=57 L")
    found = add_tank(Person(), fake.ports(), name="Sill", words=words).receipt.tank
    record(Person(), "Sill", Line("animals-in", ("4", "Danio rerio")), fake.ports())
    return found


@pytest.mark.parametrize("drifts", [(DRIFT,), ()])
def test_one_sentence_or_none(
    keeper: TestClient,
    fake: FakePorts,
    key: str,
    drifts: tuple[Drift, ...],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plain = fake.ports
    monkeypatch.setattr(
        fake,
        "ports",
        lambda: replace(
            plain(), care=replace(plain().care, watch=lambda *_told: Watch(NOW, drifts))
        ),
    )
    computed(fake, {"Sill": sample_today()})
    text = html.unescape(keeper.get(f"/tank/{key}").text).replace("\N{NO-BREAK SPACE}", " ")
    assert text.count("KH is sliding: 3.0 dKH") == len(drifts)
    rounds = html.unescape(keeper.get("/").text).replace("\N{NO-BREAK SPACE}", " ")
    assert rounds.count("KH is sliding") == len(drifts)


def test_nitrogen_is_told_on_both_bases_and_few_readings_tell_no_drift() -> None:
    at = datetime(2026, 3, 10, 19, tzinfo=UTC)
    told = drift_sentence(Drift("nitrate-rising", "nitrate", at, at, 3, 4.0, 17.0, 3.0, 2.0))
    assert "75 mg/L as nitrate (17 mg N/L)" in told
    assert is_thin(Watch(at, compared={"nitrate-rising": 1, "kh-sliding": 2}))
    assert not is_thin(Watch(at, compared={"nitrate-rising": 1, "kh-sliding": 3}))
