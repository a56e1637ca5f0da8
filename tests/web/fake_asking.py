"""The process that computes, in this one: invented answers, and the real ones that are quick."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from fake_ports import FakePorts
from sample_rehearsals import sample_rehearsed_plan

from watervane.app import BadInput, Ports
from watervane.app.answering import answer_now
from watervane.records import Finding, Headroom, Ways
from watervane.records.care import CareSchedule
from watervane.records.questions import LONG, REHEARSAL, Answer, KeptAnswer, Question
from watervane.records.resettling import Resettling


@dataclass
class FakeAsking:
    """Answers at once, or says what a test wants it to say."""

    ports: Ports
    instead: Answer | None = None
    asked: list[Question] = field(default_factory=list)
    last: KeptAnswer | None = None

    def known(self, question: Question) -> Answer:
        return self.instead or Answer()

    def running(self, kind: str, owner: str, tank: str) -> tuple[Question, Answer] | None:
        del owner, tank
        asked = [each for each in self.asked if each.kind == kind]
        still = self.instead is not None and self.instead.open
        return (asked[-1], self.instead) if asked and still else None

    def stop(self, kind: str, owner: str, tank: str) -> None:
        del owner, tank
        self.asked = [each for each in self.asked if each.kind != kind]

    def kept(self, kind: str, owner: str, tank: str) -> KeptAnswer | None:
        last = self.last
        return last if last is not None and last.question.kind == kind else None

    def __call__(self, question: Question, *, window: str, wait_s: float) -> Answer:
        self.asked.append(question)
        if self.instead is not None:
            return self.instead
        if question.kind == REHEARSAL and question.plan is not None:
            if any(each.mishap.kind == "animal-dies" for each in question.plan.mishaps):
                told = {"kind": "animal-dies"}
                return Answer(why=(Finding("mishap-no-animals", "problem", told),))
            return Answer(told=sample_rehearsed_plan(question.plan))
        try:
            told = answer_now(question, self.ports, lambda *_told: None)
            if question.kind in LONG and isinstance(
                told, Headroom | Ways | CareSchedule | Resettling
            ):
                self.last = KeptAnswer(question, told, self.ports.journal.now())
            return Answer(told=told)
        except BadInput as error:
            return Answer(why=tuple(error.problems))


def ports_that_answer(fake: FakePorts) -> tuple[Ports, FakeAsking]:
    """Ports whose questions are answered in this process."""
    ports = fake.ports()
    asking = FakeAsking(ports)
    return replace(ports, jobs=replace(ports.jobs, ask=asking)), asking
