"""What care in trouble needs from outside: answers read, first aid worked out, sheets made."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from watervane.app.blueprint_ports import Words
from watervane.records import Forecast, Tank
from watervane.records.care import CareSchedule
from watervane.records.doses import DoseSheet
from watervane.records.first_aid import AidAnswers, FirstAid
from watervane.records.quarantine import QuarantinePlan
from watervane.records.resettling import Resettling
from watervane.records.trouble import Trouble
from watervane.records.watching import Foretold, Watch
from watervane.report import Sheet

if TYPE_CHECKING:
    from watervane.app.resettling import MoveRequest


class AnswersReader(Protocol):
    """Read answers from words; raise ``BadInput`` where they are not understood."""

    def __call__(self, see: str, done: Sequence[str], tests: Sequence[str]) -> AidAnswers: ...


@dataclass(frozen=True, slots=True)
class AidQuestions:
    """What may be answered: keys of signs and deeds, levels by test."""

    seen: tuple[str, ...]
    done: tuple[str, ...]
    levels: Mapping[str, tuple[str, ...]]


class Doser(Protocol):
    """Work a dose out, of a tank where one is told; raise ``BadInput`` where it is refused."""

    def __call__(self, words: Words, tank: Tank | None) -> DoseSheet: ...


class Resettler(Protocol):
    """Work a move of colonies out; raise ``BadInput`` where it makes no sense."""

    def __call__(
        self,
        tank: Tank,
        request: MoveRequest,
        as_of: datetime | None,
        progress: Callable[[str, float], None] | None,
    ) -> Resettling: ...


class Watcher(Protocol):
    """Compare a tank's readings with the forecasts kept before them."""

    def __call__(self, tank: Tank, told: Sequence[Foretold], now: datetime) -> Watch: ...


@dataclass(frozen=True, slots=True)
class TroubleQuestions:
    """What may be answered: signs by where to look, whom it takes, since when, deeds, readings."""

    signs: Mapping[str, tuple[str, ...]]
    who: tuple[str, ...]
    since: tuple[str, ...]
    done: tuple[str, ...]
    readings: tuple[str, ...]


class TroubleFinder(Protocol):
    """Find the cause of trouble seen at a moment; raise ``BadInput`` for words not understood.

    ``forecast`` is one made of the tank before it began, where there is one.
    """

    def __call__(
        self, words: Words, tank: Tank | None, at: datetime, forecast: Forecast | None = None
    ) -> Trouble: ...


@dataclass(frozen=True, slots=True)
class CareRequest:
    """From what moment care is worked out, and how many members are fitted.

    ``carried_from`` is the key of a tank of the journal: where members of its last forecast are
    kept, they are carried on and none are fitted.
    """

    as_of: date | datetime | None = None
    members: int = 500
    seed: int = 1
    threads: int = 2
    carried_from: str | None = None


class CareFinder(Protocol):
    """Find the routine with the least work, and the way back to it."""

    def __call__(
        self,
        tank: Tank,
        request: CareRequest,
        as_of: datetime | None,
        progress: Callable[[str, float], None] | None,
    ) -> CareSchedule: ...


@dataclass(frozen=True, slots=True)
class CarePorts:
    """The outside parts of first aid, trouble, doses and sheets."""

    questions: Callable[[], AidQuestions]
    read_answers: AnswersReader
    first_aid: Callable[[AidAnswers], FirstAid]
    first_aid_document: Callable[[FirstAid], Mapping[str, Any]]
    sheet_pdf: Callable[[Sheet], bytes]
    trouble_questions: Callable[[], TroubleQuestions]
    trouble: TroubleFinder
    trouble_document: Callable[[Trouble], Mapping[str, Any]]
    dose: Doser
    dose_document: Callable[[DoseSheet], Mapping[str, Any]]
    quarantine: Callable[[Words], QuarantinePlan]  # raises ``BadInput`` where it is refused
    quarantine_document: Callable[[QuarantinePlan], Mapping[str, Any]]
    resettle: Resettler
    resettling_document: Callable[[Resettling], Mapping[str, Any]]
    watch: Watcher
    watch_document: Callable[[Watch], Mapping[str, Any]]
    write_file: Callable[[Path, bytes], None]
    schedule: CareFinder
    schedule_document: Callable[[CareSchedule], Mapping[str, Any]]
