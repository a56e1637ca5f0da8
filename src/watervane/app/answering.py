"""Answer what pages ask while somebody waits for it, and let long work stand still meanwhile."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from watervane.app.care_ports import CareRequest
from watervane.app.growing_ports import HeadroomRequest
from watervane.app.homecoming import brought_to
from watervane.app.ports import Ports, WaysRequest
from watervane.app.question_ports import Progress, Told
from watervane.app.resettling import MoveRequest
from watervane.app.working import present_moment
from watervane.records import Person
from watervane.records.questions import (
    CARE,
    HEADROOM,
    HOMECOMING,
    LIMITS,
    LONG,
    REHEARSAL,
    RESETTLE,
    WAYS,
    Question,
)

SEED = 1
THREADS = 1  # of what takes long: the other core is the keeper's


class Breath:
    """Held while a question is answered; work that asks for it waits as long."""

    def __init__(self) -> None:
        self._free = threading.Event()
        self._free.set()
        self._count = 0
        self._lock = threading.Lock()

    @contextmanager
    def held(self) -> Iterator[None]:
        """Let work stand still for the length of the block."""
        with self._lock:
            self._count += 1
            self._free.clear()
        try:
            yield
        finally:
            with self._lock:
                self._count -= 1
                if not self._count:
                    self._free.set()

    def draw(self) -> None:
        """Wait until it is not held."""
        self._free.wait()


def answering(ports: Ports, breath: Breath) -> Callable[[Question, Progress], Told]:
    """What answers questions in a process that computes."""

    def answer(question: Question, progress: Progress) -> Told:
        if question.kind in LONG:  # it stands still itself while somebody waits

            def told(stage: str, share: float) -> None:
                breath.draw()
                progress(stage, share)

            return answer_now(question, ports, told)
        with breath.held():
            return answer_now(question, ports, progress)

    return answer


def answer_now(question: Question, ports: Ports, progress: Progress) -> Told:
    """Work out the answer to a question of the tank as the journal has it now.

    Raises
    ------
    BadInput
        Where the asker has no such tank, or it gives the question nothing to work on.
    """
    with ports.journal.open() as journal, journal.looking(Person(question.owner)) as view:
        tank = view.tank(question.tank)
        if question.kind == HOMECOMING and question.trip is not None:
            return brought_to(question.tank, tank, question.trip, SEED, view, ports)
    as_of = present_moment(tank, ports.journal.now())
    if question.kind == LIMITS:
        return ports.list_limits(tank, as_of)
    if question.kind == REHEARSAL and question.plan is not None:
        return ports.jobs.rehearse_plan(question, question.plan, tank, as_of, progress)
    if question.kind == HEADROOM:
        asked = HeadroomRequest(question.species, question.length_cm, threads=THREADS)
        return ports.growing.headroom(tank, asked, as_of, progress)
    if question.kind == WAYS:
        return ports.compare_ways(tank, WaysRequest(threads=THREADS), as_of, progress)
    if question.kind == CARE:
        care = CareRequest(threads=THREADS, carried_from=question.tank)
        return ports.care.schedule(tank, care, as_of, progress)
    if question.kind == RESETTLE and question.move is not None:
        moved = MoveRequest(question.move, threads=THREADS, carried_from=question.tank)
        return ports.care.resettle(tank, moved, as_of, progress)
    raise ValueError(question)
