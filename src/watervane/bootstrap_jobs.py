"""The real parts behind jobs: the worker's process, and an engine that carries tanks on."""

from __future__ import annotations

import os
import subprocess
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import datetime
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Any

from watervane.app import BadInput
from watervane.app.job_ports import JobPorts, Progress, WorkRequest
from watervane.bootstrap_journal import troubles_told
from watervane.bootstrap_questions import Questions, command, listen
from watervane.bootstrap_stages import PlansRehearsed
from watervane.records import Colonies, Forecast, NitrogenLedger, Tank, TankRounds, Today

if TYPE_CHECKING:
    from watervane.engine import CarriedTank
    from watervane.engine.composed import Made

HORIZON_DAYS = 30
KEPT_IN_MIND = 4  # tanks carried on in memory, those foretold last
NICENESS = 10
MOST_THREADS = 8
SHORT_LIFE_S = 20.0  # a worker that ends sooner has not begun well
PAUSES_S = (1.0, 2.0, 5.0, 10.0, 30.0)  # before it is started again, longer each time
ELSEWHERE_S = 5.0  # before it is seen again whether the worker that was there still is
HOPELESS = 4  # short lives in a row


def job_ports(carried: CarriedOn | None = None) -> JobPorts:
    """The parts a real worker works with."""
    carried = carried or CarriedOn()
    questions = Questions(_answers_only)
    return JobPorts(
        foretell=carried,
        ask=questions,
        listen=listen,
        rehearse_plan=PlansRehearsed(carried.latest),
        start_worker=partial(_Supervised, questions=questions),
        alone=_alone,
        step_back=_step_back,
        today_of_text=_today_of_text,
        rounds_document=_rounds_document,
        look_inside=carried.look_inside,
    )


class CarriedOn:
    """Forecasts of this process, each carried on from the tank's last one.

    What else is worked out about a tank, in this process or another, may begin from its members,
    too.

    Parameters
    ----------
    keep, kept
        Keep the members of a tank by its key for other processes, and find those that were kept.
    """

    def __init__(
        self,
        keep: Callable[[str, CarriedTank], None] = lambda _key, _tank: None,
        kept: Callable[[str], CarriedTank | None] = lambda _key: None,
    ) -> None:
        self._keep, self._kept_before = keep, kept
        self._kept: OrderedDict[str, CarriedTank] = OrderedDict()
        self._made: tuple[str, Made] | None = None

    def latest(self, key: str) -> CarriedTank | None:
        """The tank as its last forecast left it, in this process or in one before."""
        return self._kept.get(key) or self._kept_before(key)

    def __call__(
        self,
        key: str,
        tank: Tank,
        request: WorkRequest,
        as_of: datetime,
        progress: Progress,
        provisional: Callable[[Forecast], None],
    ) -> Forecast:
        from watervane.bootstrap_warmth import warm_up

        warm_up()
        from watervane.engine import Update
        from watervane.engine.next_test import next_test

        update = Update(
            tank,
            self._kept.get(key),
            as_of=as_of,
            horizon_days=HORIZON_DAYS,
            members=request.members,
            seed=request.seed,
            threads=request.threads or 1,
            progress=progress,
        )
        first = update.provisional()
        if first is not None:
            provisional(first.made.forecast)
        carrying = update.replacement()
        made = carrying.made
        forecast = replace(made.forecast, next_test=next_test(made, None))
        self._remember(key, carrying.tank)
        self._made = key, made
        return forecast

    def look_inside(self, key: str, progress: Progress) -> tuple[NitrogenLedger, Colonies] | None:
        """Ledger and colonies of the last forecast's members, which are let go of then."""
        last, self._made = self._made, None
        if last is None or last[0] != key:
            return None
        from watervane.engine import booked, colonies, ledger

        books = booked.books_of_made(last[1], progress)
        return ledger.ledger_of(books), colonies.colonies_of(books)

    def _remember(self, key: str, tank: CarriedTank | None) -> None:
        self._kept.pop(key, None)
        if tank is None:
            return
        self._kept[key] = tank
        self._keep(key, tank)
        while len(self._kept) > KEPT_IN_MIND:
            self._kept.popitem(last=False)


class _Supervised:
    """A worker's process, and a thread that starts it again whenever it dies."""

    def __init__(self, request: WorkRequest, questions: Questions | None = None) -> None:
        self._command = command(*_words(request))
        self._questions = questions
        self._stopping = threading.Event()
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._short_lives = 0
        self._start()
        self._thread = threading.Thread(target=self._watch, daemon=True, name="watervane worker")
        self._thread.start()

    @property
    def pid(self) -> int | None:
        return None if self._process is None else self._process.pid

    @property
    def failed(self) -> bool:
        return self._short_lives >= HOPELESS

    def stop(self, patience_s: float = 10.0) -> None:
        self._stopping.set()
        with self._lock:
            process = self._process
        if process is not None:
            _close(process)  # which is its sign to give back its job and leave
            try:
                process.wait(patience_s)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
        self._thread.join(patience_s)
        if self._questions is not None:
            self._questions.detach()

    def _start(self) -> None:
        # A new interpreter, never a copy of this one: threads and JAX do not survive being forked.
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL if self._questions is None else subprocess.PIPE,
        )
        if self._questions is not None:
            self._questions.attach(self._process)

    def _watch(self) -> None:
        while not self._stopping.is_set():
            begun = time.monotonic()
            process = self._process
            if process is None:
                return
            code = process.wait()
            _close(process)
            lived_s = time.monotonic() - begun
            self._short_lives = self._short_lives + 1 if code and lived_s < SHORT_LIFE_S else 0
            if self.failed and self._questions is not None:
                self._questions.give_up()
            pause_s = PAUSES_S[min(self._short_lives, len(PAUSES_S) - 1)] if code else ELSEWHERE_S
            if self._stopping.wait(pause_s):
                return
            with self._lock:
                if not self._stopping.is_set():
                    self._start()


def _answers_only(questions: Questions) -> _Supervised:
    """A process that takes no jobs, for pages without a worker."""
    return _Supervised(WorkRequest(only_answers=True), questions)


def _close(process: subprocess.Popen[bytes]) -> None:
    if process.stdin is not None:
        with suppress(OSError):
            process.stdin.close()


def _words(request: WorkRequest) -> Iterator[str]:
    """A request as options of the command."""
    yield from ("--members", str(request.members), "--seed", str(request.seed))
    if request.threads is not None:
        yield from ("--threads", str(request.threads))
    if request.once:
        yield "--once"
    if not request.keep_current:
        yield "--only-asked"
    if request.only_answers:
        yield "--only-answers"


@contextmanager
def _alone() -> Iterator[bool]:
    from watervane.journal import alone, usual_place

    with troubles_told(), alone(usual_place()) as free:
        yield free


def _step_back() -> int:
    """Let everything else go first, and leave one core to it; how many cores are left."""
    with suppress(AttributeError, OSError):
        os.nice(max(0, NICENESS - os.nice(0)))
    cores = os.cpu_count() or 1
    with suppress(AttributeError, OSError):
        mine = sorted(os.sched_getaffinity(0))
        cores = len(mine)
        if cores > 1:
            os.sched_setaffinity(0, mine[1:])
    return min(max(cores - 1, 1), MOST_THREADS)


@lru_cache(64)
def _today_of_text(text: str) -> Today:
    from watervane.exchange import TankFileErrors
    from watervane.exchange.today_reader import today_of_text

    try:
        return today_of_text(text)
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _rounds_document(found: TankRounds) -> Mapping[str, Any]:
    from watervane.exchange import rounds_json

    return rounds_json.rounds_document(found)
