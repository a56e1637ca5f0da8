"""Scores as JSON; stored forecasts read back as they were written."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from watervane.exchange import (
    TankFileErrors,
    forecast_document,
    read_forecast_document,
    scores_document,
)
from watervane.records import Learned, Moved, NextTest, StillOpen, Taught, TellingTest
from watervane.wording import finding_text

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from sample_forecasts import sample_forecast
from sample_scores import sample_scores, without_date


def test_scores_have_the_published_keys() -> None:
    document = scores_document(sample_scores())
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert document["format"] == "watervane-scores/1"
    assert set(document) == {
        *("format", "tank", "made", "members", "seed", "summaries", "settled", "settled_reason"),
        *("moments", "rows", "diagnostics"),
    }
    one = document["summaries"][0]
    assert (one["quantity"], one["unit"], one["forecaster"]) == ("ammonia", "mg N/L", "watervane")
    assert one["covered"] == {"50": 22.2, "80": 35.6, "90": 38.9}
    assert document["summaries"][-1]["quantity"] is None
    assert document["moments"][0]["settled"]["rule"]["crps_d"] == 8.0
    assert document["rows"][0]["marks"]["trend"]["place"] == [0.4, 0.6]
    assert scores_document(without_date("settled-not-shown"))["settled"] is None


def test_a_stored_forecast_comes_back_as_it_was(tmp_path: Path) -> None:
    forecast = sample_forecast()
    path = tmp_path / "stored.json"
    path.write_text(json.dumps(forecast_document(forecast)), encoding="utf-8")
    found = read_forecast_document(path)
    assert found.tank == forecast.tank
    assert found.series == forecast.series
    assert found.settled == forecast.settled
    assert found.nitrite_peak == forecast.nitrite_peak
    assert found.as_of.astimezone(UTC) == forecast.as_of.astimezone(UTC)
    assert forecast_document(found)["series"] == forecast_document(forecast)["series"]


def test_what_was_taught_and_the_next_test_come_back_as_they_were(tmp_path: Path) -> None:
    at = datetime(2026, 3, 12, 18, tzinfo=timezone(timedelta(hours=1)))
    test = TellingTest(at, "nitrite", None, 0.4, 0.03)
    moved = Moved(at, "ammonia", -2.5, None, told=False)
    forecast = replace(
        sample_forecast(),
        taught=Taught(
            (Learned("food_multiplier", 0.4, -1.2),), (StillOpen("bias x", 0.3),), moved, "", 2.5
        ),
        next_test=NextTest(
            "danger", "nitrite-acute", 0.9, 0.05, best=test, ranked=(test,), wrong_now=0.1
        ),
    )
    path = tmp_path / "stored.json"
    path.write_text(json.dumps(forecast_document(forecast)), encoding="utf-8")
    found = read_forecast_document(path)
    assert found.taught == forecast.taught
    assert found.next_test == forecast.next_test


def test_an_older_document_without_lessons_is_read(tmp_path: Path) -> None:
    document = forecast_document(sample_forecast())
    del document["taught"], document["next_test"]
    path = tmp_path / "stored.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    found = read_forecast_document(path)
    assert (found.taught, found.next_test) == (None, None)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda d: "no json", "it is not JSON"),
        (lambda d: json.dumps([1]), "its format is not"),
        (lambda d: json.dumps({**d, "format": "other/1"}), "its format is not"),
        (lambda d: json.dumps({k: v for k, v in d.items() if k != "as_of"}), "as_of is missing"),
        (lambda d: json.dumps({**d, "as_of": "2026-03-12T00:00:00"}), "has no zone"),
        (lambda d: json.dumps({**d, "series": {"time": []}}), "its series are empty"),
        (lambda d: json.dumps({**d, "milestones": 4}), "is no stored forecast"),
        (lambda d: json.dumps({**d, "taught": {"learned": []}}), "still_open is missing"),
    ],
)
def test_what_is_no_stored_forecast_is_refused(tmp_path: Path, change, why: str) -> None:
    path = tmp_path / "stored.json"
    path.write_text(change(forecast_document(sample_forecast())), encoding="utf-8")
    with pytest.raises(TankFileErrors) as refused:
        read_forecast_document(path)
    assert why in finding_text(refused.value.problems[0])


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TankFileErrors) as refused:
        read_forecast_document(tmp_path / "none.json")
    assert "no such file" in finding_text(refused.value.problems[0])
