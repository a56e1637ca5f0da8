"""The worker: it takes one job after another, tells how far it is, and keeps what comes of it."""

from __future__ import annotations

import threading
import traceback
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from watervane import __version__
from watervane.app.at_once import at_once_of, with_bound
from watervane.app.job_ports import WorkRequest
from watervane.app.kept_forecasts import keep_made
from watervane.app.kept_inside import with_inside_kept
from watervane.app.kept_results import result_of
from watervane.app.ports import BadInput, Ports, TodayRequest
from watervane.app.unit_of_work import OpenJournal
from watervane.app.use_cases import moment_of
from watervane.app.watching import with_watch
from watervane.records import (
    FULL,
    PROVISIONAL,
    Finding,
    Forecast,
    Job,
    Person,
    Tank,
    Today,
)

BEAT_S = 1.0  # between two signs of life
IDLE_S = 0.3  # between two looks for a job
IDLE_FOR_NEWS = 30  # such looks between two for tanks whose results are not current
RESTING = timedelta(days=60)  # a tank about which nothing was written for so long is left alone
# How much of a job each stage is, roughly: from, to.
STAGES = {
    "forecast": {
        "weighing": (0.0, 0.6),
        "past": (0.6, 0.7),
        "future": (0.7, 0.9),
        "booking": (0.9, 1.0),
    },
    "today": {"weighing": (0.0, 0.4), "steps": (0.4, 1.0)},
}


class Unwanted(Exception):
    """Nobody waits for the job any more, or the worker is to stop."""


def work(
    request: WorkRequest,
    ports: Ports,
    stop: threading.Event,
    told: Callable[[Job, str], None] | None = None,
    breath: Callable[[], None] = lambda: None,
) -> int | None:
    """Do jobs until told to stop.

    Parameters
    ----------
    request
        How.
    ports
        The outside parts.
    stop
        Set by whoever wants it to end; the job at hand is given back then.
    told
        Gets every job with the name of its tank when it is begun and when it has ended.
    breath
        Called whenever a job tells how far it is; it waits there for as long as this takes.

    Returns
    -------
    int
        Jobs done; ``None`` where another worker is at this journal already.
    """
    with ports.jobs.alone() as free:
        if not free:
            return None
        threads = ports.jobs.step_back()
        request = replace(request, threads=request.threads or threads)
        with ports.journal.open() as journal:
            worker = _Worker(request, ports, journal, stop, told or (lambda _job, _tank: None))
            worker.breath = breath
            return worker.run()


class _Worker:
    """One that is alone with a journal."""

    def __init__(
        self,
        request: WorkRequest,
        ports: Ports,
        journal: OpenJournal,
        stop: threading.Event,
        told: Callable[[Job, str], None],
    ) -> None:
        self._name = uuid.uuid4().hex
        self._request, self._ports, self._journal = request, ports, journal
        self._stop, self._told = stop, told
        self.breath: Callable[[], None] = lambda: None

    def run(self) -> int:
        done, looks = 0, 0
        with self._step() as step:
            step.take_over()
            step.clear_away()
        while not self._stop.is_set():
            with self._step() as step:
                taken = step.take()
            if taken is not None:
                done += self._do(*taken)
                looks = 0
                continue
            news = self._request.keep_current and looks % IDLE_FOR_NEWS == 0
            if news and self._asked_for_news():
                continue
            if self._request.once:
                break
            looks += 1
            self._stop.wait(IDLE_S)
        return done

    def _step(self) -> Any:
        return self._journal.working(self._name, self._ports.journal.now())

    def _asked_for_news(self) -> bool:
        with self._step() as step:
            since = self._ports.journal.now() - RESTING
            return step.ask_for_news(__version__, since) is not None

    def _do(self, job: Job, tank: Tank) -> bool:
        """Do one job; whether it was done."""
        self._told(job, tank.name)
        why: Finding | None = None
        try:
            with self._alive(job) as progress:
                self._make(job, tank, progress)
        except Unwanted:
            with self._step() as step:
                step.give_back(job.key)  # unless it was called off
            return False
        except BadInput as error:
            why = error.problems[0]
        except Exception as error:  # noqa: BLE001 - one job's failure is not the worker's
            why = _inner_failure(error)
        with self._step() as step:
            done = step.done(job.key) if why is None else step.failed(job.key, why)
        ended = replace(job, state="done" if why is None else "failed", why=why)
        self._told(ended, tank.name)
        return bool(done) and why is None

    def _make(self, job: Job, tank: Tank, progress: Callable[[str, float], None]) -> None:
        request = self._request
        as_of = present_moment(tank, self._ports.journal.now())
        if job.kind == "today":
            watch = with_watch(job.tank, Person(job.owner), self._ports, self._journal)

            told = at_once_of(tank, as_of, self._ports)

            def early(day: Today) -> None:
                self._keep(job, PROVISIONAL, tank, replace(with_bound(day, told), watch=watch))

            asked = TodayRequest(
                members=request.members,
                seed=request.seed,
                threads=request.threads or 1,
                carried_from=job.tank,
            )
            day = self._ports.today(tank, asked, as_of, progress, early)
            self._keep(job, FULL, tank, replace(with_bound(day, told), watch=watch))
            return

        def provisional(forecast: Forecast) -> None:
            self._keep(job, PROVISIONAL, tank, forecast)

        made = self._ports.jobs.foretell(job.tank, tank, request, as_of, progress, provisional)
        self._keep(job, FULL, tank, made)
        keep_made(Person(job.owner), job.tank, job.newest_entry, made, self._ports, self._journal)
        look = self._ports.jobs.look_inside
        inside = None if look is None else look(job.tank, progress)
        if inside is not None:
            ledger, colonies = inside
            self._keep(job, FULL, tank, replace(made, ledger=ledger, colonies=colonies))

    def _keep(self, job: Job, grade: str, tank: Tank, made: Forecast | Today) -> None:
        if isinstance(made, Forecast):
            actor = Person(job.owner)
            made = with_inside_kept(made, actor, job.tank, self._ports, self._journal)
        kept = result_of(made, tank, job.newest_entry, self._ports, grade)
        with self._step() as step:
            step.keep(job.key, kept)

    @contextmanager
    def _alive(self, job: Job) -> Iterator[Callable[[str, float], None]]:
        """Give signs of life from a thread of its own, since the engine may be silent for long."""
        at: tuple[str, float] = ("", 0.0)
        ended, unwanted = threading.Event(), threading.Event()

        def progress(stage: str, share: float) -> None:
            nonlocal at
            self.breath()
            if unwanted.is_set() or self._stop.is_set():
                raise Unwanted
            begin, end = STAGES[job.kind].get(stage, (at[1], at[1]))
            at = (stage, max(at[1], begin + (end - begin) * min(max(share, 0.0), 1.0)))

        def beat() -> None:
            while not ended.wait(BEAT_S):
                with suppress(BadInput):  # the journal is busy: next time
                    if not self._beaten(job, *at):
                        unwanted.set()
                        return

        thread = threading.Thread(target=beat, daemon=True)
        thread.start()
        try:
            yield progress
        finally:
            ended.set()
            thread.join()

    def _beaten(self, job: Job, stage: str, share: float) -> bool:
        with self._step() as step:
            if self._stop.is_set():  # the engine may still be long: nobody has to wait for it
                step.give_back(job.key)
                return False
            return bool(step.beat(job.key, stage, share))


def present_moment(tank: Tank, now: datetime) -> datetime:
    """Now, no earlier than the last reading: nobody reads a kit ahead of time."""
    latest = max([now, *(reading.at for reading in tank.readings)])
    moment = moment_of(latest.astimezone(UTC), tank)
    assert moment is not None  # noqa: S101 - a moment was told
    return moment


def _inner_failure(error: Exception) -> Finding:
    frames = traceback.extract_tb(error.__traceback__)
    where = f"{Path(frames[-1].filename).name}, line {frames[-1].lineno}" if frames else ""
    what = " ".join(f"{type(error).__name__}: {error}".split())[:300]
    return Finding("job-failed-inside", "problem", {"what": what, "where": where})
