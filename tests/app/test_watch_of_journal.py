"""The watch over a tank of the journal: which forecasts count, and where its sentence stands."""

from __future__ import annotations

import json
import threading
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_today import sample_today
from test_commands import call

from watervane.app import Line, add_tank, record
from watervane.app.going_rounds import go_rounds
from watervane.app.job_ports import WorkRequest
from watervane.app.jobs import ask_for
from watervane.app.kept_forecasts import keep_made
from watervane.app.ports import BadInput, Ports
from watervane.app.watching import watch_of, watch_tank
from watervane.app.working import work
from watervane.exchange import forecast_document
from watervane.exchange.today_json import today_document
from watervane.exchange.today_reader import today_of_text
from watervane.exchange.watch_json import read_watch, watch_document
from watervane.records import Band, Forecast, Person
from watervane.wording.rounds import round_sentences

ME = Person()
START = datetime(2026, 3, 20, 12, tzinfo=UTC)


class Shelf:
    """A journal with one tank, weekly forecasts of a steady KH, and weekly readings of it."""

    def __init__(self) -> None:
        self.now = START
        ports = FakePorts().ports()
        self.ports: Ports = replace(
            ports,
            forecast_document=forecast_document,
            today_document=today_document,
            journal=replace(ports.journal, now=lambda: self.now),
            today=lambda *_told: replace(sample_today(), as_of=self.now),
            jobs=replace(ports.jobs, step_back=lambda: 1),
        )
        words = ("filled=2026-03-01", "volume=60 L", "source_water.kh=6 dKH", "time_zone=UTC")
        add_tank(ME, self.ports, name="Study", words=words)

    def foretold(self, kh_dkh: float = 6.0) -> None:
        times = tuple(self.now + timedelta(days=n) for n in range(31))
        band = Band(*((kh_dkh + by,) * 31 for by in (-0.4, -0.2, 0.0, 0.2, 0.4)))
        forecast: Forecast = replace(
            sample_forecast(), as_of=self.now, times=times, series={"kh_dkh": band}
        )
        with self.ports.journal.open() as journal:
            with journal.looking(ME) as view:
                key, newest = view.key_of("Study"), view.newest_entry(view.key_of("Study"))
            keep_made(ME, key, newest, forecast, self.ports, journal)

    def week(self, kh_dkh: float, *more: Line) -> None:
        self.foretold()
        self.now += timedelta(days=7)
        for line in more:
            record(ME, "Study", line, self.ports)
        at = self.now - timedelta(hours=1)
        record(ME, "Study", Line("reading", ("kh", f"{kh_dkh:g} dKH"), at), self.ports)


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shelf:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    return Shelf()


def test_a_slide_stands_on_the_rounds_and_in_the_judgement_of_the_day(shelf: Shelf) -> None:
    for kh in (6, 6, 6, 6, 5, 3, 1):
        shelf.week(kh)
    _, found = watch_tank(ME, Path("Study"), shelf.ports)
    assert [each.kind for each in found.drifts] == ["kh-sliding"]
    assert found.compared["kh-sliding"] == 7
    assert read_watch(json.loads(json.dumps(watch_document(found)))) is not None
    ask_for(ME, "Study", "today", shelf.ports)
    work(WorkRequest(once=True), shelf.ports, threading.Event())
    (one,) = go_rounds(ME, shelf.ports).rounds
    assert one.today is not None
    assert one.today.watch is not None
    assert one.today.watch.drifts[0].kind == "kh-sliding"
    assert "KH is sliding: 1.0 dKH" in " ".join(round_sentences(one, shelf.now))
    again = today_of_text(json.dumps(today_document(one.today)))
    assert again.watch == one.today.watch


def test_an_even_log_says_nothing(shelf: Shelf) -> None:
    for _ in range(6):
        shelf.week(6)
    assert watch_tank(ME, Path("Study"), shelf.ports)[1].drifts == ()


def test_a_change_written_later_is_allowed_for(shelf: Shelf) -> None:
    """KH falls as the softer water of one told change brings it down, and no further."""
    for _ in range(4):
        shelf.week(6)
    shelf.foretold()
    shelf.now += timedelta(days=7)
    at = shelf.now - timedelta(days=5)
    record(ME, "Study", Line("dose", ("baking soda", "1 g"), at), shelf.ports)
    told = ("kh", "9 dKH")
    record(ME, "Study", Line("reading", told, shelf.now - timedelta(hours=1)), shelf.ports)
    found = watch_tank(ME, Path("Study"), shelf.ports)[1]
    assert found.compared["kh-sliding"] == 4, "after a dose the forecast before it says nothing"


def test_a_file_has_no_watch_and_says_so(shelf: Shelf) -> None:
    assert watch_of(ME, Path("x.tank.toml"), shelf.ports) is None
    with pytest.raises(BadInput) as raised:
        watch_tank(ME, Path("x.tank.toml"), shelf.ports)
    assert raised.value.problems[0].key == "watch-of-a-file"


def test_the_command_tells_each_drift_with_what_to_look_at(shelf: Shelf) -> None:
    for kh in (6, 6, 6, 6, 4, 2, 0):
        shelf.week(kh)
    fake = FakePorts()
    result = call(fake, "watch", "Study")
    assert result.code == 0, result.err
    text = " ".join(result.out.split())
    assert "KH is sliding" not in text, "by today's clock these readings are old"
    assert "older than six weeks" in text
    assert "at most one false alarm a year" in text
    document = json.loads(call(fake, "watch", "Study", "--json").out)
    assert document["format"] == "watervane-watch/1"
    assert document["compared"]["kh-sliding"] == 7
    assert call(fake, "watch", "x.tank.toml").code == 2
