"""The worker keeps ledger and colonies beside its forecasts, and none of them is lost again."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_inside import sample_colonies, sample_ledger

from watervane.app import Line, add_tank, record
from watervane.app.job_ports import WorkRequest
from watervane.app.jobs import ask_for, newest_results
from watervane.app.kept_results import keep_newest
from watervane.app.ports import Ports
from watervane.app.use_cases import check
from watervane.app.working import work
from watervane.exchange import forecast_document
from watervane.exchange.forecast_reader import forecast_of_text
from watervane.records import FULL, Colonies, Forecast, NitrogenLedger, Person

ME = Person()
NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)
Inside = tuple[NitrogenLedger, Colonies]


class Desk:
    """A journal, a worker, and an engine that does as it is told."""

    def __init__(self) -> None:
        fake = FakePorts()
        self.inside: Inside | None = (sample_ledger(), sample_colonies())
        self.seen: list[Forecast] = []
        ports = fake.ports()
        self.ports: Ports = replace(
            ports,
            forecast_document=forecast_document,
            journal=replace(ports.journal, now=lambda: NOW),
            jobs=replace(
                ports.jobs,
                foretell=self._foretell,
                step_back=lambda: 1,
                look_inside=lambda _key, _progress: self._look(),
            ),
        )
        add_tank(ME, self.ports, name="Study", words=("filled=2026-03-01", "volume=60 L"))

    def _foretell(
        self,
        key: str,
        tank: Any,
        request: Any,
        as_of: datetime,
        progress: Any,
        early: Callable[..., Any],
    ) -> Forecast:
        early(replace(sample_forecast(), as_of=as_of))
        self.seen.append(self.kept())
        return replace(sample_forecast(), as_of=as_of)

    def _look(self) -> Inside | None:
        self.seen.append(self.kept())
        return self.inside

    def kept(self) -> Forecast:
        newest = newest_results(ME, "Study", self.ports).forecast
        assert newest is not None
        return forecast_of_text(newest.document)

    def work(self) -> None:
        ask_for(ME, "Study", "forecast", self.ports, again=True)
        work(WorkRequest(once=True), self.ports, threading.Event())


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    return Desk()


def test_a_forecast_is_kept_at_once_and_again_with_what_is_inside(desk: Desk) -> None:
    desk.work()
    early, full = desk.seen
    assert early.ledger is None
    assert full.ledger is None
    found = desk.kept()
    assert found.ledger is not None
    assert found.colonies is not None
    assert [one.key for one in found.ledger.stretches] == ["since-filling", "next-week"]
    assert found.colonies.guilds["ammonia"].parts["bed"].capacity.p50 == pytest.approx(40.8)
    newest = newest_results(ME, "Study", desk.ports).forecast
    assert newest is not None
    assert newest.grade == FULL


def test_what_was_kept_stands_until_there_is_newer(desk: Desk) -> None:
    desk.work()
    desk.inside = None
    record(ME, "Study", Line("note", ("seen",)), desk.ports)
    desk.seen.clear()
    desk.work()
    for told in (*desk.seen, desk.kept()):
        assert told.ledger is not None
        assert told.colonies is not None
        assert told.ledger.as_of == sample_ledger().as_of


def test_a_forecast_by_command_takes_nothing_away(desk: Desk) -> None:
    desk.work()
    tank = check(ME, Path("Study"), replace(desk.ports, read_tank=_read(desk))).tank
    members = replace(sample_forecast().diagnostics, members=1000)
    keep_newest(
        ME,
        Path("Study"),
        tank,
        replace(sample_forecast(), as_of=NOW, diagnostics=members),
        desk.ports,
    )
    found = desk.kept()
    assert found.diagnostics.members == 1000
    assert found.ledger is not None


def test_kept_forecasts_to_be_scored_hold_nothing_of_it(desk: Desk) -> None:
    desk.work()
    with desk.ports.journal.open() as journal, journal.looking(ME) as view:
        (kept,) = view.forecasts(view.key_of("Study"), 5)
    assert '"ledger"' not in kept.document


def _read(desk: Desk) -> Callable[[Path], Any]:
    def read(path: Path) -> Any:
        with desk.ports.journal.open() as journal, journal.looking(ME) as view:
            return view.tank(view.key_of(str(path))), ()

    return read
