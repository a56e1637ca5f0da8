"""The rounds: who stands first, what is said of each, and how they are brought up to date."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_today import reading_day, sample_today

from watervane.app import Line, add_tank, edit_tank, record
from watervane.app.going_rounds import go_rounds, refresh
from watervane.app.job_ports import Progress, WorkRequest
from watervane.app.jobs import ask_for, list_jobs
from watervane.app.ports import BadInput, Ports, TodayRequest
from watervane.app.working import work
from watervane.exchange import forecast_document
from watervane.records import BoundedChange, Danger, Forecast, Person, Tank, TankRound, Today
from watervane.wording.rounds import round_sentences

ME = Person()
NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)


def judged(tier: str = "acute", now: float = 0.0, soon: float = 0.0, week: float = 0.0) -> Today:
    """A day with one danger."""
    day = sample_today()
    leading = day.verdict.leading
    assert leading is not None
    limit = replace(leading.limit, tier=tier)
    danger = Danger(tier, "ammonia", now, soon, week, limit, leading.value)
    said = replace(day.verdict, key="harm-possible", leading=danger, dangers=(danger,))
    return replace(day, as_of=NOW, verdict=said)


def nobody() -> Today:
    day = judged()
    return replace(day, verdict=replace(day.verdict, key="no-animals", leading=None, dangers=()))


def foretold(**risk: tuple[float, ...]) -> Forecast:
    return replace(sample_forecast(), as_of=NOW, risk=risk)


@dataclass
class Club:
    """Tanks with what an engine would say of each."""

    ports: Ports
    moment: list[datetime]
    days: dict[str, Today]
    forecasts: dict[str, Forecast]

    def tank(self, name: str, day: Today | None = None, forecast: Forecast | None = None) -> None:
        add_tank(ME, self.ports, name=name, words=("filled=2026-03-01", "volume=60 L"))
        self.days[name] = day or judged()
        self.forecasts[name] = forecast or foretold()

    def computed(self) -> None:
        work(WorkRequest(once=True, keep_current=True), self.ports, threading.Event())

    def rounds(self) -> tuple[TankRound, ...]:
        return go_rounds(ME, self.ports).rounds

    def order(self) -> list[str]:
        return [one.tank for one in self.rounds()]


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Club:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    moment, days, forecasts = [NOW], {}, {}

    def judge(
        tank: Tank, request: TodayRequest, as_of: datetime, progress: Progress, early: Callable
    ) -> Today:
        return replace(days[tank.name], as_of=as_of)

    def foretell(
        key: str, tank: Tank, request: WorkRequest, as_of: datetime, progress, provisional
    ) -> Forecast:
        return replace(forecasts[tank.name], as_of=as_of)

    ports = FakePorts().ports()
    ports = replace(
        ports,
        today=judge,
        forecast_document=forecast_document,
        journal=replace(ports.journal, now=lambda: moment[0]),
        jobs=replace(ports.jobs, step_back=lambda: 1, foretell=foretell),
    )
    return Club(ports, moment, days, forecasts)


def test_the_tank_that_could_lose_animals_soonest_stands_first(club: Club) -> None:
    club.tank("empty", nobody())
    club.tank("calm")
    club.tank("in a week", judged(week=0.2))
    club.tank("slow", judged("chronic", now=0.9))
    club.tank("now, little", judged(now=0.02, soon=0.02))
    club.tank("now, much", judged(now=0.5))
    club.tank("in two days", judged(soon=0.3))
    club.tank("on the third day", judged(), foretold(nitrite_acute=(0.0, 0.0, 0.005, 0.3)))
    club.computed()
    assert club.order() == [
        "now, much",
        "now, little",
        "in two days",
        "on the third day",
        "in a week",
        "slow",
        "calm",
        "empty",
    ]


def test_a_forecast_tells_of_harm_before_the_judgement_does(club: Club) -> None:
    club.tank("A", judged(week=0.4), foretold(nitrite_acute=(0.0, 0.2), ammonia_acute=(0.0, 0.3)))
    club.computed()
    (one,) = club.rounds()
    assert one.acute is not None
    assert (one.acute.on, one.acute.chance) == (date(2026, 3, 21), 0.3)


def test_what_is_accepted_does_not_loom(club: Club) -> None:
    club.tank("A", judged(now=0.01, week=0.01), foretold(nitrite_chronic=(0.05, 0.05)))
    club.computed()
    (one,) = club.rounds()
    assert (one.acute, one.chronic) == (None, None)


def test_what_looms_goes_by_the_risk_the_keeper_accepts_now(club: Club) -> None:
    club.tank("A", judged(now=0.03), foretold(nitrite_chronic=(0.03, 0.03)))
    club.computed()
    (one,) = club.rounds()
    assert one.acute is not None
    assert one.chronic is None
    edit_tank(ME, "A", ["risk.acute=4 %", "risk.chronic=2 %"], club.ports)
    (one,) = club.rounds()
    assert one.acute is None
    assert one.chronic is not None


def test_of_tanks_alike_at_once_the_one_with_harm_over_time_stands_first(club: Club) -> None:
    club.tank("a", judged(now=0.5))
    club.tank("b", judged(now=0.5), foretold(ammonia_chronic=(0.0, 0.3)))
    club.computed()
    assert club.order() == ["b", "a"]


def test_an_unknown_tank_stands_behind_danger_and_before_the_rest(club: Club) -> None:
    for name, day in (("calm", judged()), ("slow", judged("chronic", now=0.9))):
        club.tank(name, day)
    club.tank("danger", judged(now=0.3))
    club.computed()
    club.tank("unknown")
    assert club.order() == ["danger", "unknown", "slow", "calm"]
    unknown = club.rounds()[1]
    assert (unknown.today, unknown.current, unknown.next_step) == (None, False, None)
    assert round_sentences(unknown, NOW) == ["Nothing is known about it yet."]


def test_it_is_told_how_old_a_result_is_and_what_it_does_not_know_of(club: Club) -> None:
    club.tank("A")
    club.computed()
    said = " ".join(round_sentences(club.rounds()[0], NOW))
    assert said.endswith("As of today at 12:00.")
    record(ME, "A", Line("note", ("one",)), club.ports)
    assert club.rounds()[0].entries_since == 1
    said = " ".join(round_sentences(club.rounds()[0], NOW))
    assert said.endswith("Not current: as of today at 12:00, and an entry was written since.")
    record(ME, "A", Line("note", ("two",)), club.ports)
    club.moment[0] = later = NOW + timedelta(days=4)
    one = club.rounds()[0]
    assert not one.current
    said = " ".join(round_sentences(one, later))
    assert said.endswith("Not current: as of 4 days ago, and 2 entries were written since.")


def test_the_next_step_that_is_due_is_told(club: Club) -> None:
    club.tank("A")
    club.computed()
    one = club.rounds()[0]
    assert one.next_step is not None
    assert one.next_step.kind == "change"
    assert any(text.startswith("Overdue: Change") for text in round_sentences(one, NOW))
    assert one.today is not None
    bounded = replace(one.today, bounded=BoundedChange("kh", 0.1, 0.35))
    said = " ".join(round_sentences(replace(one, today=bounded), NOW))
    assert "By the KH you read, change no more than 10 % of the water at once, not 35 %" in said
    step = replace(one.next_step, at=NOW, times=3, every_days=2.0)
    day = judged()
    assert day.chosen is not None
    club.days["A"] = replace(day, chosen=replace(day.chosen, acts=(step,)))
    club.moment[0] = NOW + timedelta(days=1)
    club.computed()
    (one,) = club.rounds()
    assert one.due_at == NOW + timedelta(days=2)
    assert any("Next, on Sunday 22 March: Change" in text for text in round_sentences(one, NOW))
    put_off = replace(step, at=NOW + timedelta(days=2), times=1, wait_d=2.0)
    club.days["A"] = replace(day, chosen=replace(day.chosen, acts=(put_off,)))
    club.moment[0] = NOW + timedelta(days=1, minutes=1)
    club.computed()
    said = " ".join(round_sentences(club.rounds()[0], NOW))
    assert "Next, on Sunday 22 March: Change 35 % of the water" in said, "its day is told once"


def test_a_reading_that_means_harm_is_acted_on_before_anything_else(club: Club) -> None:
    limit = replace(reading_day().verdict.alarm.limit, tier="acute")
    alarm = replace(reading_day().verdict.alarm, limit=limit)
    club.tank("calm")
    club.tank("read", replace(judged(), verdict=replace(reading_day().verdict, alarm=alarm)))
    club.computed()
    assert club.order() == ["read", "calm"]
    one = club.rounds()[0]
    assert one.acute is not None
    assert (one.acute.on, one.acute.chance) == (date(2026, 3, 20), 0.9)
    assert one.next_step is not None
    assert (one.next_step.kind, one.next_step.amount, one.due_at) == ("change", 0.55, NOW)
    assert one.next_step.litres == pytest.approx(0.55 * 60.0, rel=0.01)
    said = " ".join(round_sentences(one, NOW))
    assert "act as if the reading were right. Change about 55 % of the water" in said
    assert "nothing beyond what is planned" not in said


def test_what_waits_is_not_said_to_be_computed(club: Club) -> None:
    club.tank("A")
    ask_for(ME, "A", "today", club.ports)
    assert round_sentences(club.rounds()[0], NOW)[-1] == "It waits for the worker."


@dataclass
class InThread:
    """A worker that needs no process of its own."""

    ports: Ports
    failed: bool = False
    pid: int | None = None

    def __call__(self, request: WorkRequest) -> InThread:
        self._stop = threading.Event()
        self._thread = threading.Thread(target=work, args=(request, self.ports, self._stop))
        self._thread.start()
        return self

    def stop(self, patience_s: float = 10.0) -> None:
        self._stop.set()
        self._thread.join(patience_s)


@dataclass
class Dead:
    """A worker that cannot be started."""

    failed: bool = True
    stopped: bool = False
    pid: int | None = None

    def stop(self, patience_s: float = 10.0) -> None:
        self.stopped = True


def test_a_refresh_makes_all_current_and_tells_how_far_it_is(club: Club) -> None:
    club.tank("A")
    club.tank("B", judged(now=0.4))
    ports = replace(club.ports, jobs=replace(club.ports.jobs, start_worker=InThread(club.ports)))
    seen: list[tuple[str, float]] = []
    ended = refresh(ME, ports, WorkRequest(), lambda stage, share: seen.append((stage, share)))
    assert [job.state for job in ended] == ["done"] * 4
    assert [one.tank for one in club.rounds()] == ["B", "A"]
    assert all(one.current for one in club.rounds())
    shares = [share for _, share in seen]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert refresh(ME, ports, WorkRequest()) == (), "nothing is left to make"


def test_a_refresh_tries_again_what_failed(club: Club) -> None:
    club.tank("A")
    good = club.days.pop("A")
    club.computed()
    assert {job.state for job in list_jobs(ME, club.ports)} == {"failed", "done"}
    (one,) = club.rounds()
    assert one.job is not None
    assert "The last attempt failed. It failed inside: KeyError" in " ".join(
        round_sentences(one, NOW)
    )
    club.days["A"] = good
    ports = replace(club.ports, jobs=replace(club.ports.jobs, start_worker=InThread(club.ports)))
    assert [job.state for job in refresh(ME, ports, WorkRequest())] == ["done"]


def test_where_no_worker_can_be_started_that_is_said(club: Club) -> None:
    club.tank("A")
    dead = Dead()
    ports = replace(club.ports, jobs=replace(club.ports.jobs, start_worker=lambda request: dead))
    with pytest.raises(BadInput, match="worker-dies"):
        refresh(ME, ports, WorkRequest())
    assert dead.stopped


def test_rounds_are_those_of_their_keeper(club: Club) -> None:
    club.tank("A")
    ask_for(ME, "A", "today", club.ports)
    assert go_rounds(Person("you"), club.ports).rounds == ()
