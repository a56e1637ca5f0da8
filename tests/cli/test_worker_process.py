"""The real worker, in a process of its own, with the real engine and few members."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from watervane.app import Line, Ports, add_tank, record
from watervane.app.job_ports import WorkerProcess, WorkRequest
from watervane.app.jobs import ask_for, look_at_job, newest_results
from watervane.app.questions import ask_limits, ask_rehearsal
from watervane.bootstrap import real_ports
from watervane.records import FULL, PROVISIONAL, LimitList, Mishap, Person
from watervane.records.other_plans import DatedMishap, OtherPlan, RehearsedPlan

ME = Person()
FEW = WorkRequest(members=80, threads=1)
PATIENCE_S = 240.0  # a shared machine with nothing compiled


@pytest.fixture
def ports(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ports:
    """Real parts, with a young tank in a journal of their own."""
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    made = real_ports()
    filled = (made.journal.now().date()).replace(day=1).isoformat()
    add_tank(ME, made, name="Study", words=(f"filled={filled}", "volume=60 L"))
    record(ME, "Study", Line("dose", ("ammonium chloride", "raise_to=2 mg/L as N")), made)
    return made


@pytest.fixture
def worker(ports: Ports) -> Iterator[WorkerProcess]:
    started = ports.jobs.start_worker(FEW)
    yield started
    started.stop()


def until(happened: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not happened():
        assert time.monotonic() < end, "nothing came of it"
        time.sleep(0.02)


def is_quiet(pid: int) -> bool:
    """Whether a process lets others go first and keeps off one core."""
    cores = os.sched_getaffinity(pid)
    ours = os.sched_getaffinity(0)
    return os.getpriority(os.PRIO_PROCESS, pid) >= 10 and (len(ours) == 1 or cores < ours)


@pytest.mark.slow
def test_a_worker_that_is_killed_is_started_again_and_ends_its_job(
    ports: Ports, worker: WorkerProcess
) -> None:
    job = ask_for(ME, "Study", "forecast", ports)
    until(lambda: look_at_job(ME, job.key, ports).state == "running")
    first = worker.pid
    assert first is not None
    assert is_quiet(first)
    os.kill(first, signal.SIGKILL)
    until(lambda: not look_at_job(ME, job.key, ports).open)
    ended = look_at_job(ME, job.key, ports)
    assert (ended.state, ended.attempts) == ("done", 2), ended.why
    assert worker.pid != first
    newest = newest_results(ME, "Study", ports)
    assert newest.is_full("forecast")
    assert newest.forecast is not None
    document = json.loads(newest.forecast.document)
    assert (document["tank"], document["diagnostics"]["members"]) == ("Study", 80)
    last = worker.pid
    worker.stop()
    assert last is not None
    with pytest.raises(ProcessLookupError):
        os.kill(last, 0)


@pytest.mark.slow
def test_news_give_a_provisional_forecast_first(ports: Ports, worker: WorkerProcess) -> None:
    record(ME, "Study", Line("reading", ("ammonia", "2 mg/L as N")), ports)
    grades: list[str] = []

    def made(kind: str = "forecast") -> bool:
        kept = newest_results(ME, "Study", ports)
        told = kept.result(kind)
        if told is not None and kept.is_current(kind) and told.grade not in grades:
            grades.append(told.grade)
        return FULL in grades

    ask_for(ME, "Study", "forecast", ports)
    until(made)  # the first reading: there is nothing to weigh yet
    grades.clear()
    record(ME, "Study", Line("reading", ("nitrite", "0 mg/L as N")), ports)
    ask_for(ME, "Study", "forecast", ports)
    until(made)
    assert grades == [PROVISIONAL, FULL], "the provisional one can be read before the full one"


def test_a_worker_that_finds_another_leaves_the_jobs_to_it_and_only_answers(ports: Ports) -> None:
    job = ask_for(ME, "Study", "today", ports)
    with ports.jobs.alone() as free:
        assert free
        second = ports.jobs.start_worker(FEW)
        try:
            key = newest_results(ME, "Study", ports).tank
            found = ask_limits(ME, key, ports, "window", PATIENCE_S)
            assert isinstance(found.told, LimitList)
            assert look_at_job(ME, job.key, ports).state == "waiting"
        finally:
            second.stop()
        pid = second.pid
        assert pid is not None
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


@pytest.mark.slow
def test_a_rehearsal_is_answered_while_a_forecast_is_made(
    ports: Ports, worker: WorkerProcess
) -> None:
    """By members of the worker's own, once it has any; the job goes on where it stood."""
    key = newest_results(ME, "Study", ports).tank
    job = ask_for(ME, "Study", "forecast", ports)
    until(lambda: look_at_job(ME, job.key, ports).state == "running")
    plan = OtherPlan(mishaps=(DatedMishap(Mishap("filter-under-tap", 1.0)),))
    found = ask_rehearsal(ME, key, plan, ports, "window", PATIENCE_S)
    assert isinstance(found.told, RehearsedPlan), found.why
    assert found.told.plan == plan
    refused = OtherPlan(mishaps=(DatedMishap(Mishap("animal-dies", 1.0)),))
    why = ask_rehearsal(ME, key, refused, ports, "window", PATIENCE_S).why
    assert [each.key for each in why] == ["mishap-no-animals"]
    until(lambda: not look_at_job(ME, job.key, ports).open)
    assert look_at_job(ME, job.key, ports).state == "done"
    first = worker.pid
    assert first is not None
    os.kill(first, signal.SIGKILL)  # the next process is asked again
    again = ask_rehearsal(ME, key, OtherPlan(), ports, "window", PATIENCE_S)
    assert isinstance(again.told, RehearsedPlan), again.why


HOST = """
import sys
from watervane.app import add_tank, Line, record
from watervane.app.going_rounds import go_rounds
from watervane.app.job_ports import WorkRequest
from watervane.app.questions import ask_limits, ask_rehearsal
from watervane.app.jobs import ask_for, newest_results
from watervane.bootstrap import real_ports
from watervane.records import Person

ports, me = real_ports(), Person()
add_tank(me, ports, name="Study", words=("filled=2026-03-01", "volume=60 L"))
record(me, "Study", Line("note", ("seen",)), ports)
ask_for(me, "Study", "today", ports)
newest_results(me, "Study", ports)
worker = ports.jobs.start_worker(WorkRequest())
print(len(ports.jobs.rounds_document(go_rounds(me, ports))["tanks"]))
worker.stop()
print(sorted(name for name in sys.modules if name.partition(".")[0] in ("jax", "jaxlib")))
"""


def test_the_process_that_asks_never_imports_what_computes(tmp_path: Path) -> None:
    environment = {**os.environ, "WATERVANE_JOURNAL": str(tmp_path / "journal.sqlite")}
    ran = subprocess.run(
        [sys.executable, "-c", HOST], env=environment, capture_output=True, text=True, check=False
    )
    assert (ran.returncode, ran.stdout.split("\n")[:2]) == (0, ["1", "[]"]), ran.stderr


def test_a_worker_ends_with_the_process_that_started_it(tmp_path: Path) -> None:
    environment = {**os.environ, "WATERVANE_JOURNAL": str(tmp_path / "journal.sqlite")}
    starts = (
        "import sys, time\n"
        "from watervane.app.job_ports import WorkRequest\n"
        "from watervane.bootstrap import real_ports\n"
        "print(real_ports().jobs.start_worker(WorkRequest()).pid, flush=True)\n"
        "time.sleep(600)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", starts], env=environment, stdout=subprocess.PIPE, text=True
    ) as host:
        assert host.stdout is not None
        pid = int(host.stdout.readline())
        host.kill()

    def gone() -> bool:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        return False

    until(gone)
