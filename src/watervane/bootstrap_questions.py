"""Questions to the process that computes and their answers: a line of JSON each, over its pipes.

A pipe wakes who reads it at once: nothing is looked up in between, and nothing is kept on disk.
"""

from __future__ import annotations

import json
import os
import queue
import subprocess
import sys
import threading
import traceback
from collections import OrderedDict
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import IO, Any

from watervane.app import BadInput
from watervane.app.question_ports import Progress, Told
from watervane.bootstrap_kept_answers import keep, read_kept
from watervane.records import Finding, Headroom, Homecoming, LimitList, Ways
from watervane.records.care import CareSchedule
from watervane.records.other_plans import RehearsedPlan
from watervane.records.questions import (
    CARE,
    HEADROOM,
    HOMECOMING,
    LIMITS,
    LONG,
    REHEARSAL,
    RESETTLE,
    WAYS,
    Answer,
    KeptAnswer,
    Question,
)
from watervane.records.resettling import Resettling

NICENESS = 10  # of what takes long
KEPT = 64  # answers, those asked for last
RECORDS: Mapping[str, type[Told]] = {
    LIMITS: LimitList,
    HOMECOMING: Homecoming,
    REHEARSAL: RehearsedPlan,
    HEADROOM: Headroom,
    WAYS: Ways,
    CARE: CareSchedule,
    RESETTLE: Resettling,
}
LOST = Finding("worker-dies", "problem")
_Waiting = queue.SimpleQueue[tuple[int, Question]]
_SENDING = threading.Lock()


class Overtaken(Exception):
    """Nobody waits for the answer any more."""


class Questions:
    """The asking end; it outlives the process that answers, and asks the next one again.

    Parameters
    ----------
    start
        Starts a process that answers, where there is none; it calls `attach`.
    """

    def __init__(self, start: Callable[[Questions], object]) -> None:
        self._start = start
        self._changed = threading.Condition()
        self._answers: OrderedDict[Question, Answer] = OrderedDict()
        self._windows: dict[str, Question] = {}
        self._numbers: dict[int, Question] = {}
        self._next = 0
        self._process: subprocess.Popen[bytes] | None = None
        self._reader: threading.Thread | None = None
        self._wanted = False

    def __call__(self, question: Question, *, window: str, wait_s: float) -> Answer:
        """Ask, or look up what became of it; see `watervane.app.question_ports.Asker`."""
        self._make_sure()
        with self._changed:
            self._overtake(question, window)
            known = self._answers.get(question)
            if known is None or known.overtaken:
                self._answers[question] = Answer()
                self._send(question)
            self._answers.move_to_end(question)
            self._forget()
            self._changed.wait_for(lambda: not self._answer(question).open, wait_s)
            return self._answer(question)

    def known(self, question: Question) -> Answer:
        """What is known of a question; see `watervane.app.question_ports.Asker`."""
        with self._changed:
            return self._answers.get(question, Answer())

    def running(self, kind: str, owner: str, tank: str) -> tuple[Question, Answer] | None:
        """What of a kind is being worked out; see `watervane.app.question_ports.Asker`."""
        with self._changed:
            found = self._open(kind, owner, tank)
            return (found[-1], self._answers[found[-1]]) if found else None

    def stop(self, kind: str, owner: str, tank: str) -> None:
        """Call off what of a kind is open; see `watervane.app.question_ports.Asker`."""
        with self._changed:
            for question in self._open(kind, owner, tank):
                self._call_off(question)

    def kept(self, kind: str, owner: str, tank: str) -> KeptAnswer | None:
        """The last answer of a kind that takes long; see `watervane.app.question_ports.Asker`."""
        return read_kept(kind, owner, tank)

    def attach(self, process: subprocess.Popen[bytes]) -> None:
        """Ask this process from now on, first what is still open."""
        with self._changed:
            self._process = process
            self._numbers.clear()
            for question, answer in self._answers.items():
                if answer.open:
                    self._send(question)
        self._reader = threading.Thread(target=self._read, args=(process,), daemon=True)
        self._reader.start()

    def detach(self, patience_s: float = 5.0) -> None:
        """The process has ended and there is to be no other."""
        with self._changed:
            self._process, self._wanted = None, False
        if self._reader is not None:
            self._reader.join(patience_s)

    def give_up(self) -> None:
        """No process lives long enough: whoever waits is told so."""
        with self._changed:
            for question, answer in self._answers.items():
                if answer.open:
                    self._answers[question] = Answer(why=(LOST,))
            self._changed.notify_all()

    def _make_sure(self) -> None:
        with self._changed:
            begin = self._process is None and not self._wanted
            self._wanted = True
        if begin:
            try:
                self._start(self)
            except BaseException:
                with self._changed:
                    self._wanted = False  # the next question tries again
                raise

    def _answer(self, question: Question) -> Answer:
        return self._answers.get(question, Answer(overtaken=True))

    def _overtake(self, question: Question, window: str) -> None:
        before = self._windows.get(window)
        self._windows[window] = question
        if before is None or before == question or before in self._windows.values():
            return
        if self._answer(before).open:
            self._call_off(before)

    def _call_off(self, question: Question) -> None:
        self._answers[question] = Answer(overtaken=True)
        # Asked again after it was called off, it has several: none of them is wanted any more.
        for number in [n for n, each in self._numbers.items() if each == question]:
            del self._numbers[number]
            self._write({"cancel": number})
        self._changed.notify_all()

    def _open(self, kind: str, owner: str, tank: str) -> list[Question]:
        """Of all that were asked, the one asked last standing last."""
        return [
            each
            for each, answer in self._answers.items()
            if answer.open and (each.kind, each.owner, each.tank) == (kind, owner, tank)
        ]

    def _forget(self) -> None:
        while len(self._answers) > KEPT:
            self._answers.popitem(last=False)
        while len(self._windows) > KEPT:
            del self._windows[next(iter(self._windows))]

    def _send(self, question: Question) -> None:
        from watervane.exchange import record_text

        self._next += 1
        self._numbers[self._next] = question
        self._write({"number": self._next, "question": record_text.record_text(question)})

    def _write(self, line: Mapping[str, Any]) -> None:
        stdin = None if self._process is None else self._process.stdin
        if stdin is not None:
            with suppress(OSError, ValueError):  # it died: the next one is asked again
                os.write(stdin.fileno(), json.dumps(line).encode() + b"\n")

    def _read(self, process: subprocess.Popen[bytes]) -> None:
        if process.stdout is None:
            return
        with process.stdout as lines:
            for line in lines:
                with suppress(ValueError, KeyError):
                    told = json.loads(line)
                    with self._changed:
                        self._take(int(told["number"]), told)
                        self._changed.notify_all()

    def _take(self, number: int, told: Mapping[str, Any]) -> None:
        question = self._numbers.get(number)
        if question is None or not self._answer(question).open:
            return
        if "stage" in told:
            self._answers[question] = Answer(stage=told["stage"], share=float(told["share"]))
            return
        del self._numbers[number]
        self._answers[question] = found = _answered(question, told)
        if question.kind in LONG and found.told is not None:
            keep(question, told["answer"])


def _answered(question: Question, told: Mapping[str, Any]) -> Answer:
    from watervane.exchange import TankFileErrors
    from watervane.exchange.record_text import record_of_text

    if "why" in told:
        return Answer(why=tuple(Finding(**each) for each in told["why"]))
    try:
        return Answer(told=record_of_text(RECORDS[question.kind], told["answer"]))
    except TankFileErrors as error:
        return Answer(why=tuple(error.problems))


def listen(answer: Callable[[Question, Progress], Told]) -> None:
    """The answering end; see `watervane.app.question_ports.Listener`."""
    sent = os.fdopen(os.dup(1), "wb")
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)  # a stray word on standard output would be no answer
    quick: _Waiting = queue.SimpleQueue()
    slow: _Waiting = queue.SimpleQueue()
    ends: set[int] = set()
    for name, each in (("quick answers", quick), ("long answers", slow)):
        told = (each, ends, sent, answer, each is slow)
        threading.Thread(target=_answer_all, args=told, daemon=True, name=name).start()
    for line in _lines(0):
        with suppress(ValueError, KeyError):
            _heard(json.loads(line), quick, slow, ends)


def _heard(told: Mapping[str, Any], quick: _Waiting, slow: _Waiting, ends: set[int]) -> None:
    from watervane.exchange import record_text

    if "cancel" in told:
        ends.add(told["cancel"])
    else:
        question = record_text.record_of_text(Question, told["question"])
        (slow if question.kind in LONG else quick).put((int(told["number"]), question))


def _lines(descriptor: int) -> Any:
    """Lines as they come, not by `sys.stdin`, whose lock would be missed at the end."""
    rest = b""
    with suppress(OSError):
        while data := os.read(descriptor, 65536):
            *whole, rest = (rest + data).split(b"\n")
            yield from whole


def _answer_all(
    waiting: _Waiting,
    ends: set[int],
    sent: IO[bytes],
    answer: Callable[[Question, Progress], Told],
    quietly: bool,  # noqa: FBT001 - handed on by a thread
) -> None:
    if quietly:
        with suppress(AttributeError, OSError):  # of this thread alone, where the system can
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICENESS)
    while True:
        number, question = waiting.get()
        with suppress(OSError, ValueError):  # who asked is gone
            found = _one(number, question, ends, sent, answer)
            if found is not None:
                _put(sent, {"number": number, **found})
        ends.discard(number)


def _one(
    number: int,
    question: Question,
    ends: set[int],
    sent: IO[bytes],
    answer: Callable[[Question, Progress], Told],
) -> Mapping[str, Any] | None:
    """What a question comes to; ``None`` where nobody waits for it any more."""
    from watervane.exchange import record_text

    last = ("", -1.0)

    def progress(stage: str, share: float) -> None:
        nonlocal last
        if number in ends:
            raise Overtaken
        if stage != last[0] or share - last[1] >= 0.02:
            last = (stage, share)
            _put(sent, {"number": number, "stage": stage, "share": round(share, 3)})

    if number in ends:
        return None
    try:
        return {"answer": record_text.record_text(answer(question, progress))}
    except Overtaken:
        return None
    except BadInput as error:
        return {"why": [_finding(each) for each in error.problems]}
    except Exception as error:  # noqa: BLE001 - one question's failure is not the process's
        frames = traceback.extract_tb(error.__traceback__)
        where = f"{Path(frames[-1].filename).name}, line {frames[-1].lineno}" if frames else ""
        what = " ".join(f"{type(error).__name__}: {error}".split())[:300]
        return {"why": [_finding(Finding("job-failed-inside", "problem",
                                         {"what": what, "where": where}))]}  # fmt: skip


def _finding(each: Finding) -> Mapping[str, Any]:
    told = {
        name: value if isinstance(value, str | int | float) else str(value)
        for name, value in each.arguments.items()
    }
    return {"key": each.key, "severity": each.severity, "arguments": told}


def _put(sent: IO[bytes], line: Mapping[str, Any]) -> None:
    with _SENDING:
        sent.write(json.dumps(line).encode() + b"\n")
        sent.flush()


def command(*words: str) -> list[str]:
    """Our own program, as one that answers."""
    return [sys.executable, "-m", "watervane", "work", "--attached", *words]
