"""A judgement that was kept as a document is read back as it was told."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from sample_today import reading_day, sample_today

from watervane.advice.emergency import within_the_hour
from watervane.exchange import TankFileErrors, today_document
from watervane.exchange.findings_json import finding_document, read_finding
from watervane.exchange.today_reader import today_of_text
from watervane.records import BoundedChange, Finding, Span, Today
from watervane.wording import (
    hour_sentences,
    order_sentences,
    step_sentences,
    verdict_sentences,
    ways_table,
)


def hurried_day() -> Today:
    day = sample_today()
    said = replace(day.verdict, key="emergency")
    remark = Finding("assumed-feeding", "caution", {"mass_g": Span(0.1, 0.2)})
    hour = within_the_hour(["ammonia"], 6.4)
    notes = (Finding("note-some", "info", {"percent": 30}),)
    return replace(day, verdict=said, emergency=hour, remarks=(remark,), notes=notes)


def bounded_day() -> Today:
    return replace(sample_today(), bounded=BoundedChange("kh", 0.1, 0.35))


def nobody() -> Today:
    day = sample_today()
    said = replace(day.verdict, key="no-animals", leading=None, dangers=(), drivers=(), swing=None)
    return replace(
        day, verdict=said, planned=None, chosen=None, runner_up=None, frontier=(), good_enough=()
    )


@pytest.mark.parametrize(
    "day", [sample_today(), reading_day(), hurried_day(), nobody(), bounded_day()]
)
def test_the_same_is_said_of_a_kept_day(day: Today) -> None:
    again = today_of_text(json.dumps(today_document(day)))
    for say in (verdict_sentences, hour_sentences, step_sentences, order_sentences, ways_table):
        assert say(again) == say(day)
    assert (again.as_of, again.bounded) == (day.as_of, day.bounded)
    assert again.remarks == day.remarks
    assert (again.emergency, again.notes) == (day.emergency, day.notes)
    assert again.diagnostics.model_version == day.diagnostics.model_version
    assert today_document(again) == today_document(day)


@pytest.mark.parametrize(
    "value",
    [
        "text", 3, 2.5, True, None, Span(0.1, 0.2), date(2026, 3, 1), [1, "a"],
        datetime(2026, 3, 1, 9, 30, tzinfo=UTC), {"quantity": "ammonia", "at": date(2026, 3, 2)},
    ],
)  # fmt: skip
def test_arguments_of_a_finding_come_back(value: object) -> None:
    finding = Finding("some-key", "caution", {"told": value})
    text = json.dumps(finding_document(finding))
    assert read_finding(json.loads(text)) == finding


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format": "watervane-forecast/1"}', "null"])
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(TankFileErrors):
        today_of_text(text)


def test_a_document_with_a_part_missing_is_refused() -> None:
    document = today_document(sample_today())
    del document["verdict"]
    with pytest.raises(TankFileErrors) as caught:
        today_of_text(json.dumps(document))
    assert caught.value.problems[0].arguments["why"] == "verdict is missing"
