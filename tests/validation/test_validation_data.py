"""The kept data hold numbers, no traces of where they were read, and are judged by content."""

from __future__ import annotations

import re
import tomllib
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from validation.kept_logs import DATA, LOGS, kept_logs, lacking

from watervane.records import Dose, Finding, Reading, ReadingValue, SourceWater, Tank

PAGE = DATA.parents[1] / "docs" / "validation.md"
TRACES = re.compile(
    r"https?:|www\.|@|\.(?:com|net|org|jp|ee)\b|\bblog|\bforum|\bauthor", re.IGNORECASE
)
KEPT = sorted(p for p in LOGS.iterdir() if p.suffix in (".csv", ".toml"))
START = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.name)
def test_a_log_tells_facts_and_not_where_they_were_read(path: Path) -> None:
    assert TRACES.findall(path.read_text(encoding="utf-8")) == []


def test_traces_are_noticed() -> None:
    assert TRACES.search("seen on example.com by its author")


@pytest.mark.parametrize("folder", ["keeper-logs", "startup_milestones"])
def test_each_folder_tells_its_terms(folder: str) -> None:
    assert "Apache-2.0" in (DATA / folder / "README.md").read_text(encoding="utf-8")


def test_every_log_is_read_and_either_run_or_told_why_not() -> None:
    logs = kept_logs()
    assert len(logs) == len(list(LOGS.glob("*.csv")))
    page = PAGE.read_text(encoding="utf-8")
    reasons = tomllib.loads((DATA / "reasons.toml").read_text(encoding="utf-8"))
    for log in logs:
        if log.lacking:
            assert f"- {log.name}, {log.title}: {'; '.join(log.lacking)}." in page
        else:
            assert f"## {log.name}: {log.title}\n" in page
            assert reasons[log.name]


def test_every_picture_of_the_page_is_there() -> None:
    pictures = re.findall(r"\]\((validation/[^)]+)\)", PAGE.read_text(encoding="utf-8"))
    assert pictures
    assert [name for name in pictures if not (PAGE.parent / name).is_file()] == []


def tank(**told: Any) -> Tank:
    """A log that carries enough: a dose, then ammonia and nitrite every day."""
    value = ReadingValue("exact", 1.0, 1.0)
    readings = tuple(
        Reading(at=START + timedelta(days=day, hours=1), quantity=quantity, value=value)
        for day in range(6)
        for quantity in ("ammonia", "nitrite")
    )
    dose = Dose(at=START, substance="ammonia solution", target_mg_n_per_l=2.0)
    usual: dict[str, object] = {"readings": readings, "events": (dose,), "volume_l": 50.0}
    return Tank(name="a log", filled=date(2026, 3, 1), **{**usual, **told})


def test_a_log_with_doses_and_daily_tests_is_run() -> None:
    assert lacking(tank(), ()) == []


@pytest.mark.parametrize(
    ("told", "findings", "reason"),
    [
        ({"source_water": SourceWater(salinity_g_per_kg=35.0)}, (), "salt water"),
        ({"readings": tank().readings[:4]}, (), "4 times on 2 days"),
        ({"events": ()}, (), "nothing that brings nitrogen"),
        ({}, (Finding("log-animals-unknown"),), "which or how many"),
        ({}, (Finding("log-size-unknown"),), "without its size"),
        (
            {"events": (Dose(at=START, substance="ammonia"),)},
            (),
            "nothing that brings",
        ),
    ],
)
def test_what_a_log_lacks_is_named(
    told: dict[str, object], findings: tuple[Finding, ...], reason: str
) -> None:
    assert any(reason in phrase for phrase in lacking(tank(**told), findings))


def test_a_log_that_begins_with_ammonia_in_the_water_is_not_run() -> None:
    late = Dose(at=START + timedelta(days=3), substance="ammonia", target_mg_n_per_l=2.0)
    found = lacking(tank(events=(late,)), ())
    assert [phrase for phrase in found if "begins after the start" in phrase]
