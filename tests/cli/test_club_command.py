"""``watervane club``: an invented club in a journal of its own, today whatever the day."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from watervane.app import Ports
from watervane.app.club import club_journal, found_club
from watervane.app.going_rounds import go_rounds
from watervane.app.keeping import list_tanks, open_tank
from watervane.app.moved import Move
from watervane.app.page_ports import ServeRequest
from watervane.bootstrap import real_ports
from watervane.cli import program
from watervane.cli.clubbed import FILES, attended, shipped_club
from watervane.records import FULL, Person

ME = Person()
DAYS = [datetime(2027, 7, 14, 9, tzinfo=UTC), datetime(2031, 10, 26, 23, 30, tzinfo=UTC)]


def ports_on(now: datetime, zone: str = "UTC") -> Ports:
    ports = real_ports()
    journal = replace(ports.journal, now=lambda: now)
    return replace(ports, journal=journal, pages=replace(ports.pages, time_zone=lambda: zone))


def shipped_results() -> set[str]:
    """The tanks whose judgement came with the club."""
    tanks = zip(FILES, shipped_club().tanks, strict=True)
    found = {name.replace("-", " ").capitalize() for name, each in tanks if "today" in each.results}
    assert len(found) >= len(FILES) - 1
    return {name.replace("forty", "Forty") for name in found}


@pytest.fixture(autouse=True)
def own_journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    file = tmp_path / "own.sqlite"
    monkeypatch.setenv("WATERVANE_JOURNAL", str(file))
    return file


@pytest.mark.parametrize("now", DAYS)
@pytest.mark.parametrize("zone", ["UTC", "Pacific/Auckland", "America/Denver"])
def test_its_evening_is_always_yesterdays(now: datetime, zone: str) -> None:
    ports = ports_on(now, zone)
    with club_journal(ports):
        move = found_club(ME, shipped_club(), ports)
        found = go_rounds(ME, ports)
        tanks = list_tanks(ME, ports)
    assert len(tanks) == len(FILES) == len(found.rounds)
    today = move.moment(now.replace(hour=0)).date() - timedelta(days=move.days)
    assert today == now.date()
    for one in found.rounds:
        if one.today is None:  # what is not shipped yet is made by the worker, and is not told of
            assert one.tank not in shipped_results(), one.tank
            continue
        assert one.grade == FULL
        late = now - one.today.as_of
        assert timedelta(0) < late < timedelta(days=2), one.tank
        assert not one.current, "an evening gone by is never told as today"
        assert one.entries_since == 0, one.tank
    assert all(tank.time_zone == zone for tank in tanks)
    assert all(tank.last_reading and tank.last_reading < now for tank in tanks)


def test_it_shows_tanks_in_the_states_it_promises() -> None:
    now = DAYS[0]
    ports = ports_on(now)
    with club_journal(ports):
        found_club(ME, shipped_club(), ports)
        names = [one.name for one in list_tanks(ME, ports)]
        tanks = {name: open_tank(ME, name, ports, newest=500) for name in names}

    def read(name: str, quantity: str) -> list[float]:
        told = sorted(tanks[name].tank.readings, key=lambda each: each.at)
        return [each.value.low for each in told if each.quantity == quantity]

    def age_d(name: str) -> int:
        return (now.date() - tanks[name].tank.filled).days

    assert age_d("Bay window") <= 4
    assert read("Hall bench", "ammonia")[-1] == max(read("Hall bench", "ammonia")) > 0.5
    assert max(read("Hall bench", "nitrite")) < 0.2
    nitrite = read("Stair landing", "nitrite")
    assert nitrite[-1] >= 0.8
    assert read("Stair landing", "ammonia")[-1] < 0.1
    tea = read("Tea corner", "nitrite")
    assert max(tea) > 0.2
    assert max(tea[-4:]) <= 0.05
    assert age_d("Old Forty") > 5 * 365 - 10
    assert read("Old Forty", "kh")[-1] <= 1.0
    assert tanks["Fern shelf"].tank.plants == "many"


def test_the_keepers_own_journal_is_left_alone(own_journal: Path) -> None:
    result = CliRunner().invoke(program.program, ["club", "--once"], obj=real_ports)
    assert result.exit_code == 0, result.output
    assert os.environ["WATERVANE_JOURNAL"] == str(own_journal)
    assert not own_journal.exists()


def test_without_a_terminal_it_prints_the_rounds_and_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    served: list[ServeRequest] = []
    ports = ports_on(DAYS[0])  # at another hour a reading of three evenings before is none of late

    def serve(request: ServeRequest, told: object) -> None:
        served.append(request)

    ports = replace(ports, pages=replace(ports.pages, serve=serve))
    result = CliRunner().invoke(program.program, ["club"], obj=lambda: ports)
    assert result.exit_code == 0, result.output
    assert served == []
    for file in shipped_club().tanks:
        name = file.file.partition('name = "')[2].partition('"')[0]
        assert name in result.output
    said = " ".join(result.output.split())
    assert "as of yesterday" in said
    old = said.partition("Old Forty")[2]
    assert "You read KH 0.50 dKH" in old, "a reading that alarms stands before any judgement"
    assert "Nothing measured points to harm" not in old
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert not attended() or "CI" not in os.environ


def test_on_a_terminal_it_serves_until_it_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    served: list[ServeRequest] = []
    ports = real_ports()
    monkeypatch.setattr("watervane.cli.clubbed.attended", lambda: True)
    monkeypatch.setattr("watervane.cli.clubbed.has_display", lambda: False)

    def serve(request: ServeRequest, told: object) -> None:
        served.append(request)
        assert "watervane-club-" in os.environ["WATERVANE_JOURNAL"]
        told("http://127.0.0.1:1/enter")

    ports = replace(ports, pages=replace(ports.pages, serve=serve))
    result = CliRunner().invoke(program.program, ["club", "--port", "4711"], obj=lambda: ports)
    assert result.exit_code == 0, result.output
    assert served == [ServeRequest(4711, open_browser=False, work=True, notice="club-notice")]
    assert "http://127.0.0.1:1/enter" in result.output
    assert not Path(os.environ["WATERVANE_JOURNAL"]).exists()


@pytest.mark.parametrize(("ci", "terminal", "serves"), [
    ("", True, True), ("true", True, False), ("1", True, False), ("", False, False)
])  # fmt: skip
def test_it_serves_only_where_somebody_sits(
    monkeypatch: pytest.MonkeyPatch, ci: str, terminal: bool, serves: bool
) -> None:
    monkeypatch.setenv("CI", ci)
    monkeypatch.setattr("watervane.cli.clubbed.sys.stdout.isatty", lambda: terminal)
    assert attended() is serves


def test_moments_keep_the_hour_of_the_clock() -> None:
    move = Move(100, "Europe/Lisbon")
    assert move.text("at = 2026-03-01T19:00:00\nfilled = 2026-03-01") == (
        "at = 2026-06-09T19:00:00\nfilled = 2026-06-09"
    )
    assert move.text('"as_of":"2026-03-01T19:00:00+00:00"') == (
        '"as_of":"2026-06-09T19:00:00+01:00"'
    )
    assert move.text("no date: 2026-13-45, 12-2026-01-01, 1.5") == (
        "no date: 2026-13-45, 12-2026-01-01, 1.5"
    )
    assert move.text('time_zone = "UTC"') == 'time_zone = "Europe/Lisbon"'
