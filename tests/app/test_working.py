"""The worker with an invented engine: what is asked for is made, kept, and told on the way."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from fresh_places import BACKENDS, address_of, fresh_place
from sample_forecasts import sample_forecast
from sample_today import CHANGE, PLANNED, sample_today

from watervane.app import Line, add_tank, record
from watervane.app.calendars import due_calendar
from watervane.app.due import kept_due
from watervane.app.job_ports import Progress, WorkRequest
from watervane.app.jobs import (
    ask_for,
    cancel_job,
    list_jobs,
    look_at_job,
    newest_results,
    retry_job,
)
from watervane.app.ports import BadInput, Ports, TodayRequest
from watervane.app.working import work
from watervane.exchange import forecast_document
from watervane.records import (
    FULL,
    PROVISIONAL,
    AtOnce,
    BoundedChange,
    Forecast,
    Job,
    Person,
    Tank,
    Today,
)

ME = Person()
NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)


@dataclass
class FakeEngine:
    """An engine that hands out invented forecasts, or does what a test wants of it."""

    ports: Ports
    meanwhile: Callable[[], None] = lambda: None
    made: list[tuple[str, datetime, WorkRequest]] = field(default_factory=list)

    def __call__(
        self,
        key: str,
        tank: Tank,
        request: WorkRequest,
        as_of: datetime,
        progress: Progress,
        provisional: Callable[[Forecast], None],
    ) -> Forecast:
        self.made.append((tank.name, as_of, request))
        progress("weighing", 0.5)
        provisional(replace(sample_forecast(), as_of=as_of))
        self.meanwhile()
        progress("future", 1.0)
        return replace(sample_forecast(), as_of=as_of)


@dataclass
class Desk:
    """A journal with a worker's parts."""

    ports: Ports
    engine: FakeEngine
    moment: list[datetime]

    def work(self, **how: bool) -> int | None:
        how.setdefault("once", True)
        return work(WorkRequest(**how), self.ports, threading.Event())

    def tank(self, name: str) -> None:
        add_tank(ME, self.ports, name=name, words=("filled=2026-03-01", "volume=60 L"))

    def note(self, name: str) -> None:
        record(ME, name, Line("note", ("seen",)), self.ports)


@pytest.fixture(params=BACKENDS)
def home(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[None]:
    with fresh_place(request.param, tmp_path, ready=True) as place:
        monkeypatch.setenv("WATERVANE_JOURNAL", address_of(place))
        yield


@pytest.fixture
def desk(home: None) -> Desk:
    moment = [NOW]
    ports = FakePorts(day=replace(sample_today(), as_of=NOW)).ports()
    ports = replace(
        ports,
        forecast_document=forecast_document,
        journal=replace(ports.journal, now=lambda: moment[0]),
        jobs=replace(ports.jobs, step_back=lambda: 3),
    )
    engine = FakeEngine(ports)
    found = Desk(replace(ports, jobs=replace(ports.jobs, foretell=engine)), engine, moment)
    found.tank("Study")
    return found


def test_what_is_asked_for_is_made_and_kept(desk: Desk) -> None:
    jobs = [ask_for(ME, "study", kind, desk.ports) for kind in ("forecast", "today")]
    before = newest_results(ME, "Study", desk.ports)
    assert (before.forecast, before.today, before.is_current("today")) == (None, None, False)
    assert desk.work() == 2
    newest = newest_results(ME, "Study", desk.ports)
    for kind, job in zip(("forecast", "today"), jobs, strict=True):
        kept = newest.result(kind)
        assert kept is not None
        assert json.loads(kept.document)["format"] == f"watervane-{kind}/1"
        assert (kept.newest_entry, kept.grade, kept.as_of) == (newest.newest_entry, FULL, NOW)
        assert look_at_job(ME, job.key, desk.ports).state == "done"
        assert look_at_job(ME, job.key, desk.ports).progress == 1.0
    assert desk.engine.made == [("Study", NOW, WorkRequest(once=True, threads=3))]


def test_a_judgement_may_go_on_from_the_members_of_the_tanks_forecast(desk: Desk) -> None:
    asked: list[TodayRequest] = []

    def judge(tank: Tank, request: TodayRequest, *_told: object) -> Today:
        asked.append(request)
        return replace(sample_today(), as_of=NOW)

    desk.ports = replace(desk.ports, today=judge)
    job = ask_for(ME, "Study", "today", desk.ports)
    assert desk.work() == 1
    assert [request.carried_from for request in asked] == [job.tank]


def test_a_kept_judgement_says_where_its_steps_pass_what_a_reading_bears(desk: Desk) -> None:
    kh = AtOnce((), bounded_by="kh", most_share=0.1)
    now = replace(PLANNED, acts=(replace(CHANGE, at=NOW),))
    day = replace(sample_today(), as_of=NOW, chosen=now)
    pages = replace(desk.ports.pages, at_once=lambda *_: kh)
    desk.ports = replace(desk.ports, pages=pages, today=lambda *_: day)
    record(ME, "Study", Line("reading", ("kh", "1 dKH")), desk.ports)
    ask_for(ME, "Study", "today", desk.ports)
    desk.work()
    with desk.ports.journal.open() as journal, journal.looking(ME) as view:
        key = view.key_of("Study")
    due = kept_due(ME, key, desk.ports)
    assert due.today is not None
    assert due.today.bounded == BoundedChange("kh", 0.1, 0.35)
    changes = [each for each in due_calendar(due, NOW, 7).entries if "change" in each.title]
    assert [each.why[:46] for each in changes] == ["By the KH you read, change no more than 10 % o"]


def test_the_provisional_result_can_be_read_while_the_full_one_is_made(desk: Desk) -> None:
    seen = []
    desk.engine.meanwhile = lambda: seen.append(newest_results(ME, "Study", desk.ports))
    ask_for(ME, "Study", "forecast", desk.ports)
    desk.work()
    (newest,) = seen
    assert newest.forecast is not None
    assert newest.forecast.grade == PROVISIONAL
    running = newest.job("forecast")
    assert running is not None
    assert (running.state, running.attempts) == ("running", 1)


def test_the_last_result_can_be_read_while_the_next_is_made(desk: Desk) -> None:
    ask_for(ME, "Study", "today", desk.ports)
    desk.work()
    desk.note("Study")
    newest = newest_results(ME, "Study", desk.ports)
    assert newest.today is not None
    assert newest.today.grade == FULL
    assert not newest.is_current("today")
    assert newest.job("today") is not None


def test_a_result_is_of_its_day(desk: Desk) -> None:
    ask_for(ME, "Study", "forecast", desk.ports)
    desk.work()
    desk.moment[0] = NOW + timedelta(hours=11)
    late = newest_results(ME, "Study", desk.ports)
    desk.moment[0] = NOW + timedelta(hours=13)
    assert late.is_current("forecast")
    assert not newest_results(ME, "Study", desk.ports).is_current("forecast")


def test_each_forecast_is_kept_for_good_as_well_and_once(desk: Desk) -> None:
    for _ in range(2):
        ask_for(ME, "Study", "forecast", desk.ports, again=True)
        desk.work()
    with desk.ports.journal.open() as journal, journal.looking(ME) as view:
        (kept,) = view.forecasts(view.key_of("Study"))
        assert kept.newest_entry == view.newest_entry(view.key_of("Study"))


def test_a_failure_inside_is_told_and_the_next_job_is_done(desk: Desk) -> None:
    def breaks() -> None:
        raise ZeroDivisionError("nothing left")

    desk.engine.meanwhile = breaks
    jobs = [ask_for(ME, "Study", kind, desk.ports) for kind in ("forecast", "today")]
    assert desk.work() == 1
    failed = look_at_job(ME, jobs[0].key, desk.ports)
    assert failed.state == "failed"
    assert failed.why is not None
    assert failed.why.key == "job-failed-inside"
    assert failed.why.arguments["what"] == "ZeroDivisionError: nothing left"
    assert newest_results(ME, "Study", desk.ports).is_current("forecast"), "the provisional one"
    desk.engine.meanwhile = lambda: None
    retry_job(ME, failed.key, desk.ports)
    assert desk.work() == 1
    assert newest_results(ME, "Study", desk.ports).is_full("forecast")


def test_a_tank_that_is_not_filled_yet_fails_with_the_reason(desk: Desk) -> None:
    add_tank(ME, desk.ports, name="Next", words=("filled=2026-05-01", "volume=60 L"))
    job = ask_for(ME, "Next", "forecast", desk.ports)
    desk.work()
    why = look_at_job(ME, job.key, desk.ports).why
    assert why is not None
    assert why.key == "at-before-filling"


def test_a_job_called_off_while_it_runs_keeps_nothing_more(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("watervane.app.working.BEAT_S", 0.02)
    job = ask_for(ME, "Study", "forecast", desk.ports)

    def call_off() -> None:
        cancel_job(ME, job.key, desk.ports)
        threading.Event().wait(0.3)

    desk.engine.meanwhile = call_off
    assert desk.work() == 0
    assert look_at_job(ME, job.key, desk.ports).state == "cancelled"
    kept = newest_results(ME, "Study", desk.ports).forecast
    assert kept is not None
    assert kept.grade == PROVISIONAL


def test_a_worker_told_to_stop_gives_its_job_back(desk: Desk) -> None:
    stop = threading.Event()
    desk.engine.meanwhile = stop.set
    job = ask_for(ME, "Study", "forecast", desk.ports)
    assert work(WorkRequest(), desk.ports, stop) == 0
    left = look_at_job(ME, job.key, desk.ports)
    assert (left.state, left.attempts) == ("waiting", 0)


def test_progress_is_told_and_never_goes_back(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("watervane.app.working.BEAT_S", 0.02)
    job = ask_for(ME, "Study", "forecast", desk.ports)
    seen: list[Job] = []

    def look() -> None:
        threading.Event().wait(0.3)
        seen.append(look_at_job(ME, job.key, desk.ports))

    desk.engine.meanwhile = look
    desk.work()
    assert (seen[0].stage, seen[0].progress) == ("weighing", pytest.approx(0.3))


def test_a_second_worker_leaves_the_work_to_the_first(desk: Desk) -> None:
    counts: list[int | None] = []
    desk.engine.meanwhile = lambda: counts.append(desk.work())
    ask_for(ME, "Study", "forecast", desk.ports)
    assert desk.work() == 1
    assert counts == [None]


def test_a_worker_that_keeps_all_current_asks_by_itself(desk: Desk) -> None:
    desk.tank("Den")
    assert desk.work() == 0
    assert desk.work(keep_current=True) == 4
    assert all(newest_results(ME, n, desk.ports).is_full("forecast") for n in ("Study", "Den"))
    assert desk.work(keep_current=True) == 0
    desk.note("Den")
    assert desk.work(keep_current=True) == 2
    desk.moment[0] = NOW + timedelta(days=1)
    assert desk.work(keep_current=True) == 4


def test_recording_asks_for_nothing(desk: Desk) -> None:
    desk.note("Study")
    assert list_jobs(ME, desk.ports) == ()


def test_jobs_are_asked_for_by_the_tanks_owner_only(desk: Desk) -> None:
    with pytest.raises(BadInput):
        ask_for(Person("you"), "Study", "forecast", desk.ports)
    job = ask_for(ME, "Study", "forecast", desk.ports)
    with pytest.raises(BadInput):
        look_at_job(Person("you"), job.key, desk.ports)
    with pytest.raises(ValueError, match="a job is one of"):
        ask_for(ME, "Study", "score", desk.ports)
