"""Print the rounds; work in the foreground until stopped."""

from __future__ import annotations

import json
import os
import signal
import threading
from types import FrameType

from watervane.app import Ports
from watervane.app.answering import Breath, answering
from watervane.app.at_once import rounds_at_once
from watervane.app.going_rounds import go_rounds, refresh
from watervane.app.job_ports import WorkRequest
from watervane.app.rounds import rounds
from watervane.app.working import work
from watervane.cli.exit_codes import FINE, INTERRUPTED
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import AtOnce, Job, Person, TankRounds
from watervane.wording import finding_text, phrase
from watervane.wording.at_once import at_once_sentences, at_once_steps
from watervane.wording.rounds import harm_beside, round_sentences, rounds_title

ELSEWHERE_S = 5.0  # before it is seen again whether another worker still is at the journal
PATIENCE_S = 10.0  # that a worker is given to end by itself once whoever started it is gone


def run_rounds(request: WorkRequest | None, as_json: bool, ports: Ports) -> int:
    """Print the rounds, after what is not current was computed if that is asked for."""
    if request is not None:
        with shown_progress(silent=as_json) as progress:
            refresh(Person(), ports, request, progress)
    found = go_rounds(Person(), ports)
    if as_json:
        print(json.dumps(ports.jobs.rounds_document(found), allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    if not found.rounds:
        printer.sentence(phrase("tanks-none"))
        return FINE
    print_rounds(printer, found, ports)
    if request is None and not all(one.current for one in found.rounds):
        printer.sentence("")
        printer.sentence(phrase("round-refresh"))
    return FINE


def print_rounds(printer: Printer, found: TankRounds, ports: Ports) -> None:
    """Every tank with its sentences, the most urgent first.

    What a reading says at once stands in the judgement's place, but for harm that the judgement
    finds besides.
    """
    now = found.as_of.astimezone()
    looked = rounds_at_once(Person(), rounds(Person(), ports, found), ports)
    alarms = {each.tank.name: each.at_once for each in looked}
    printer.heading(rounds_title(now))
    for one in found.rounds:
        told = alarms.get(one.tank, AtOnce())
        said = [*at_once_sentences(told), *at_once_steps(told)]
        if not said or harm_beside(one.today, told):
            said = [*round_sentences(one, now), *said]
        printer.entry(one.tank, " ".join(said))


def run_work(request: WorkRequest, *, attached: bool, ports: Ports) -> int:
    """Work until stopped; attached to another process, for as long as that lives."""
    stop = threading.Event()
    _stop_when_told(stop)
    breath = Breath()
    if attached:
        # Begun before the worker steps back: who waits for an answer is not to wait for others.
        answers = (stop, ports, breath)
        threading.Thread(target=_answer_until_alone, args=answers, daemon=True).start()
    printer = Printer()
    if not attached and not request.once:
        printer.aside(phrase("work-begun"))

    def told(job: Job, tank: str) -> None:
        if attached:
            return
        if job.why is not None:
            printer.aside(phrase("work-failed", tank=tank, why=finding_text(job.why)))
        elif job.open:
            printer.aside(phrase(f"work-job-{job.kind}", tank=tank))

    if request.only_answers:
        stop.wait()
        return FINE
    done = work(request, ports, stop, told, breath.draw)
    while done is None and attached and not stop.wait(ELSEWHERE_S):
        done = work(request, ports, stop, told, breath.draw)  # once the other has left
    if done is None:
        if not attached:
            printer.sentence(phrase("worker-elsewhere"))
        return FINE
    if not attached:
        printer.sentence(phrase("work-done", count=done))
    return FINE


def _stop_when_told(stop: threading.Event) -> None:
    """End at a signal after the job at hand was given back; at a second one at once."""

    def told(_signal: int, _frame: FrameType | None) -> None:
        if stop.is_set():
            os._exit(INTERRUPTED)
        stop.set()

    signal.signal(signal.SIGINT, told)
    signal.signal(signal.SIGTERM, told)


def _answer_until_alone(stop: threading.Event, ports: Ports, breath: Breath) -> None:
    """Answer until the other end of standard input is closed, which its death does as well."""
    ports.jobs.listen(answering(ports, breath))
    stop.set()
    threading.Event().wait(PATIENCE_S)
    os._exit(FINE)
