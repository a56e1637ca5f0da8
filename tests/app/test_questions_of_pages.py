"""The line to the process that computes, with a program in its place that says what it is told."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sample_ways import sample_ways

from watervane.bootstrap_kept_answers import keep, read_kept
from watervane.bootstrap_questions import LOST, Questions
from watervane.exchange.record_text import record_text
from watervane.records import Mishap
from watervane.records.other_plans import DatedMishap, OtherPlan, RehearsedPlan
from watervane.records.questions import HEADROOM, REHEARSAL, WAYS, Answer, Question

PATIENCE_S = 30.0
# Answers with the plan it was asked for; a day ahead of 9 takes for ever, of 8 it is refused.
PROGRAM = """
    import sys, time
    sys.path[:0] = {path}
    from watervane.app import BadInput
    from watervane.bootstrap_questions import listen
    from watervane.records import Finding
    from sample_rehearsals import sample_rehearsed_plan

    def answer(question, progress):
        ahead = question.plan.mishaps[0].days_ahead
        if ahead == 8:
            raise BadInput([Finding("mishap-no-animals", "problem", {{"kind": "animal-dies"}})])
        if ahead == 7:
            raise ZeroDivisionError("seven")
        while ahead == 9:
            progress("future", 0.25)
            time.sleep(0.01)
        print("a stray word")
        return sample_rehearsed_plan(question.plan)

    listen(answer)
"""


class Answering:
    """Programs that answer, one after the other."""

    def __init__(self) -> None:
        self.started: list[subprocess.Popen[bytes]] = []

    def __call__(self, questions: Questions) -> None:
        code = textwrap.dedent(PROGRAM.format(path=[str(Path(__file__).parents[1] / "cli")]))
        process = subprocess.Popen(
            [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        self.started.append(process)
        questions.attach(process)


@pytest.fixture
def answering() -> Iterator[Answering]:
    found = Answering()
    yield found
    for process in found.started:
        process.kill()
        process.wait()
        if process.stdin is not None:
            process.stdin.close()


def asked(ahead: int, tank: str = "key") -> Question:
    plan = OtherPlan(mishaps=(DatedMishap(Mishap("power-cut", 8.0), ahead),))
    return Question(REHEARSAL, "keeper", tank, 3, date(2026, 3, 12), plan=plan)


def told(answer: Answer) -> OtherPlan:
    assert isinstance(answer.told, RehearsedPlan), answer
    return answer.told.plan


def test_a_question_is_answered_and_looked_up_the_next_time(answering: Answering) -> None:
    ask = Questions(answering)
    assert told(ask(asked(1), window="a", wait_s=PATIENCE_S)) == asked(1).plan
    answering.started[0].kill()
    answering.started[0].wait()
    assert told(ask(asked(1), window="b", wait_s=0.0)) == asked(1).plan
    assert len(answering.started) == 1


def test_what_takes_long_tells_how_far_it_is(answering: Answering) -> None:
    ask = Questions(answering)
    end = time.monotonic() + PATIENCE_S
    answer = ask(asked(9), window="a", wait_s=0.1)
    while not answer.stage and time.monotonic() < end:
        answer = ask(asked(9), window="a", wait_s=0.1)
    assert (answer.open, answer.stage, answer.share) == (True, "future", 0.25)


def test_a_newer_question_of_the_same_window_takes_the_place_of_the_one_before(
    answering: Answering,
) -> None:
    ask = Questions(answering)
    seen: list[Answer] = []
    waiting = threading.Thread(
        target=lambda: seen.append(ask(asked(9), window="a", wait_s=PATIENCE_S))
    )
    waiting.start()
    end = time.monotonic() + PATIENCE_S
    while not ask(asked(9), window="c", wait_s=0.0).stage and time.monotonic() < end:
        time.sleep(0.01)
    ask(asked(1), window="c", wait_s=0.0)
    assert told(ask(asked(2), window="a", wait_s=PATIENCE_S)) == asked(2).plan
    waiting.join(PATIENCE_S)
    assert [each.overtaken for each in seen] == [True]


def test_what_another_window_waits_for_goes_on(answering: Answering) -> None:
    ask = Questions(answering)
    ask(asked(9), window="a", wait_s=0.0)
    ask(asked(9), window="b", wait_s=0.0)
    ask(asked(1), window="a", wait_s=0.0)
    assert ask(asked(9), window="b", wait_s=0.0).open


def test_what_runs_is_found_by_its_tank_and_can_be_stopped(answering: Answering) -> None:
    ask = Questions(answering)
    assert ask.running(REHEARSAL, "keeper", "key") is None
    ask(asked(9), window="a", wait_s=0.0)
    for kind, owner, tank in (
        (HEADROOM, "keeper", "key"),
        (REHEARSAL, "other", "key"),
        (REHEARSAL, "keeper", "other"),
    ):
        ask.stop(kind, owner, tank)
        assert ask.running(kind, owner, tank) is None
    found = ask.running(REHEARSAL, "keeper", "key")
    assert found is not None
    assert (found[0], found[1].open) == (asked(9), True)
    ask.stop(REHEARSAL, "keeper", "key")
    assert ask.running(REHEARSAL, "keeper", "key") is None
    assert ask.known(asked(9)).overtaken
    assert told(ask(asked(2), window="a", wait_s=PATIENCE_S)) == asked(2).plan


def test_what_is_asked_again_after_it_was_stopped_can_be_stopped_again(
    answering: Answering,
) -> None:
    ask = Questions(answering)
    for _ in range(2):
        assert ask(asked(9), window="a", wait_s=0.0).open
        ask.stop(REHEARSAL, "keeper", "key")
    assert told(ask(asked(2), window="a", wait_s=PATIENCE_S)) == asked(2).plan


def test_a_process_that_could_not_be_started_is_tried_again_by_the_next_question(
    answering: Answering,
) -> None:
    tries = []

    def start(questions: Questions) -> None:
        tries.append(len(tries))
        if len(tries) == 1:
            raise OSError("no memory")
        answering(questions)

    ask = Questions(start)
    with pytest.raises(OSError, match="no memory"):
        ask(asked(1), window="a", wait_s=0.0)
    assert told(ask(asked(1), window="a", wait_s=PATIENCE_S)) == asked(1).plan
    assert tries == [0, 1]


def test_a_refusal_and_a_failure_come_back_as_findings(answering: Answering) -> None:
    ask = Questions(answering)
    (refused,) = ask(asked(8), window="a", wait_s=PATIENCE_S).why
    assert (refused.key, refused.arguments) == ("mishap-no-animals", {"kind": "animal-dies"})
    (failed,) = ask(asked(7), window="a", wait_s=PATIENCE_S).why
    assert failed.key == "job-failed-inside"
    assert "ZeroDivisionError" in str(failed.arguments["what"])
    assert told(ask(asked(3), window="a", wait_s=PATIENCE_S)) == asked(3).plan


def test_the_next_process_is_asked_what_the_last_one_left_open(answering: Answering) -> None:
    ask = Questions(answering)
    ask(asked(9), window="a", wait_s=0.5)
    ask(asked(4), window="b", wait_s=0.0)  # behind the one that takes for ever
    os.kill(answering.started[0].pid, signal.SIGKILL)
    answering.started[0].wait()
    ask(asked(1), window="a", wait_s=0.0)  # which is wanted no more
    answering(ask)
    assert told(ask(asked(4), window="b", wait_s=PATIENCE_S)) == asked(4).plan


def test_whoever_waits_is_told_when_no_process_lives(answering: Answering) -> None:
    ask = Questions(answering)
    ask(asked(9), window="a", wait_s=0.0)
    ask.give_up()
    assert ask(asked(9), window="a", wait_s=PATIENCE_S).why == (LOST,)


def test_what_took_long_is_kept_and_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WATERVANE_CACHE", str(tmp_path))
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    question = Question(WAYS, "keeper", "key", 3, date(2026, 3, 12))
    assert read_kept(WAYS, "keeper", "key") is None
    keep(question, record_text(sample_ways()))
    kept = read_kept(WAYS, "keeper", "key")
    assert kept is not None
    assert (kept.question, kept.told) == (question, sample_ways())
    assert read_kept(WAYS, "somebody", "key") is None
    assert read_kept(HEADROOM, "keeper", "key") is None
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "other.sqlite"))
    assert read_kept(WAYS, "keeper", "key") is None
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    (file,) = (tmp_path / "answers").iterdir()
    file.write_text("torn", encoding="utf-8")
    assert read_kept(WAYS, "keeper", "key") is None
