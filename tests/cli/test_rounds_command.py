"""``watervane rounds`` and ``watervane work`` with an invented engine."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_today import sample_today
from test_commands import Result, call

from watervane import __version__
from watervane.app import BadInput, Ports
from watervane.app.jobs import newest_results
from watervane.bootstrap_journal import kept_tank
from watervane.exchange import forecast_document
from watervane.records import JOB_KINDS, Finding, Forecast, Person, Today
from watervane.wording.templates import templates

NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)
Say = Callable[..., Result]


@dataclass
class Shell:
    """Ports with a clock that stands still, and an engine that needs no time."""

    fake: FakePorts
    few: bool = False
    broken: bool = False

    def breaks(self) -> None:
        """Fail as an engine that meets a moment it cannot begin at."""
        if self.broken:
            told = {"what": "reading", "at": "2026-02-01", "filled": "2026-03-01"}
            raise BadInput([Finding("before-filling", "problem", told)])

    def ports(self) -> Ports:
        day = replace(sample_today(), as_of=NOW)
        how = replace(day.diagnostics, members=100 if self.few else 1000, model_version=__version__)
        self.fake.day = replace(day, diagnostics=how)
        self.fake.forecast = replace(
            sample_forecast(), as_of=NOW, diagnostics=replace(how, accuracy="printed")
        )
        ports = self.fake.ports()

        def foretell(key, tank, request, as_of, progress, provisional) -> Forecast:
            self.breaks()
            return replace(sample_forecast(), as_of=as_of)

        def judge(*told: object, **named: object) -> Today:
            self.breaks()
            return self.fake.day

        return replace(
            ports,
            today=judge if self.broken else ports.today,
            forecast_document=forecast_document,
            read_tank=lambda path: kept_tank(str(path)),
            journal=replace(ports.journal, now=lambda: NOW),
            jobs=replace(ports.jobs, step_back=lambda: 1, foretell=foretell),
        )


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shell:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    return Shell(FakePorts())


@pytest.fixture
def say(shell: Shell) -> Say:
    return lambda *words: call(shell, *words)


def told(result: Result) -> str:
    assert result.code == 0, result.err
    return " ".join(result.out.split())


def test_without_a_tank_there_is_nothing_to_go_round(say: Say) -> None:
    assert "There is no tank" in told(say("rounds"))


def test_a_tank_is_told_to_be_unknown_until_it_is_computed(say: Say) -> None:
    told(say("tank", "add", "Study", "filled=2026-03-01", "volume=60 L"))
    said = told(say("rounds"))
    assert "Study Nothing is known about it yet." in said
    assert "watervane rounds --refresh" in said
    assert "Jobs done: 2." in told(say("work", "--once"))
    said = told(say("rounds"))
    assert "Not at once dangerous, but too much if it stays so" in said
    assert "Change 35 % of the water" in said
    assert "As of today at" in said
    assert "--refresh" not in said
    told(say("record", "note", "murky"))
    assert "and an entry was written since" in told(say("rounds"))


def test_work_done_once_is_done(say: Say) -> None:
    told(say("tank", "add", "Study", "filled=2026-03-01", "volume=60 L"))
    assert "Jobs done: 0." in told(say("work", "--once", "--only-asked"))
    result = say("work", "--once")
    assert "Study: foretelling" in result.err
    assert "Study: judging today" in result.err
    assert "Jobs done: 0." in told(say("work", "--once"))


def test_a_failure_is_told_by_the_worker_and_in_the_rounds(say: Say, shell: Shell) -> None:
    shell.broken = True
    told(say("tank", "add", "Later", "filled=2026-03-01", "volume=60 L"))
    result = say("work", "--once")
    assert "Later: " in result.err
    assert "before the tank was filled on 2026-03-01" in " ".join(result.err.split())
    assert "The last attempt failed." in told(say("rounds"))


def test_the_document_holds_what_is_said(say: Say) -> None:
    told(say("tank", "add", "Study", "filled=2026-03-01", "volume=60 L"))
    told(say("work", "--once"))
    told(say("tank", "add", "Den", "filled=2026-03-01", "volume=60 L"))
    document = json.loads(say("rounds", "--json").out)
    assert document["format"] == "watervane-rounds/1"
    by_name = {tank["tank"]: tank for tank in document["tanks"]}
    assert by_name["Den"]["verdict"] is None
    study = by_name["Study"]
    assert (study["current"], study["grade"], study["verdict"]) == (True, "full", "strain-likely")
    assert study["chronic"] == {"on": "2026-03-20", "chance": 0.5}
    assert study["next_step"]["kind"] == "change"
    assert study["job"] is None


def test_what_a_command_found_out_is_known_to_the_rounds(say: Say, shell: Shell) -> None:
    told(say("tank", "add", "Study", "filled=2026-03-01", "volume=60 L"))
    told(say("record", "note", "clear", "--at", "2026-03-20"))
    for more in (("--at", "2026-03-19"), ("--risk", "acute=5")):
        assert say("today", "study", *more).code == 0
        assert "Nothing is known about it yet." in told(say("rounds"))
    shell.few = True
    assert say("today", "study").code == 0
    assert "Nothing is known about it yet." in told(say("rounds")), "of too few members"
    shell.few = False
    assert say("today", "study").code == 0
    said = told(say("rounds"))
    assert "Not at once dangerous" in said
    assert "As of today at" in said
    assert say("forecast", "study").code == 0
    assert newest_results(Person(), "Study", shell.ports()).is_full("forecast")


def test_every_sentence_of_the_rounds_and_of_jobs_is_there_and_none_is_left_over() -> None:
    rounds = ("title", "nothing", "later", "step-today", "step-late", "step-on", "no-step", "today",
              "yesterday", "days-ago", "age", "age-not-current", "age-entry", "age-entries", "made",
              "failed", "refresh", "waits", "as-if", "as-if-later", "later-rarely")  # fmt: skip
    jobs = ("unknown", "not-ended", "died", "failed-inside", "cancelled", "superseded")
    work = ("begun", "done", "failed", *(f"job-{kind}" for kind in JOB_KINDS))
    said = {*(f"round-{key}" for key in rounds), *(f"job-{key}" for key in jobs)}
    said |= {*(f"work-{key}" for key in work), "worker-dies", "worker-elsewhere", "stage-worker"}
    place = resources.files("watervane.wording").joinpath("rounds.toml")
    assert set(tomllib.loads(place.read_text(encoding="utf-8"))) == said
    assert said <= set(templates())
