"""What the use cases need from outside, as protocols; ``bootstrap`` picks the parts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any, Protocol

from watervane.app.animal_ports import AnimalPorts
from watervane.app.blueprint_ports import BlueprintPorts
from watervane.app.care_ports import CarePorts
from watervane.app.exchange_ports import ExchangePorts
from watervane.app.growing_ports import GrowingPorts
from watervane.app.inside_ports import InsidePorts
from watervane.app.job_ports import JobPorts
from watervane.app.page_ports import PagePorts
from watervane.app.unit_of_work import JournalPorts
from watervane.charts import Picture, ScorePicture
from watervane.records import (
    Finding,
    Forecast,
    Homecoming,
    LimitList,
    Mishap,
    OwnAnimal,
    Rehearsals,
    Scores,
    Tank,
    Today,
    Trip,
    Ways,
)

Progress = Callable[[str, float], None]


class BadInput(Exception):
    """What the keeper handed over cannot be used; every problem at once."""

    def __init__(self, problems: Sequence[Finding], source: str | None = None) -> None:
        super().__init__(", ".join(problem.key for problem in problems))
        self.problems = tuple(problems)
        self.source = source


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked of a forecast.

    ``as_of`` without a clock time means the end of that day; ``None`` leaves it to
    the engine. ``accuracy`` is ``printed`` or ``sampling``. ``question`` is what the next test
    should tell of, ``settled`` or ``danger``; ``None`` leaves it to the engine. ``deep`` asks for a
    second, thorough fit, from which the forecast is made and against which the usual one is held.
    """

    as_of: date | datetime | None = None
    horizon_days: int = 30
    members: int = 1000
    seed: int = 1
    accuracy: str = "printed"
    threads: int = 2
    question: str | None = None
    deep: bool = False


@dataclass(frozen=True, slots=True)
class ScoreRequest:
    """What is asked of a replay; in its place ``stored`` documents, or those the journal kept."""

    every_days: int | None = None
    members: int = 300
    seed: int = 1
    threads: int = 2
    stored: tuple[Path, ...] = ()
    kept: bool = False


@dataclass(frozen=True, slots=True)
class RehearsalRequest:
    """Which mishaps are rehearsed; the rest as in `Request`."""

    mishaps: tuple[Mishap, ...]
    as_of: date | datetime | None = None
    horizon_days: int = 21
    members: int = 1000
    seed: int = 1
    threads: int = 2


@dataclass(frozen=True, slots=True)
class TodayRequest:
    """What is asked of a day; the last four stand in for a file.

    ``allowed`` are chances by tier in place of those the tank's keeper accepts. ``carried_from``
    is as of `watervane.app.care_ports.CareRequest`.
    """

    as_of: date | datetime | None = None
    members: int = 1000
    seed: int = 1
    threads: int = 2
    allowed: Mapping[str, float] = field(default_factory=dict)
    readings: tuple[str, ...] = ()
    animals: tuple[str, ...] = ()
    volume: str | None = None
    days_old: int | None = None
    carried_from: str | None = None


@dataclass(frozen=True, slots=True)
class WaysRequest:
    """What is asked of the ways to start; members are run under each of them."""

    as_of: date | datetime | None = None
    horizon_days: int = 84
    members: int = 120
    seed: int = 1
    threads: int = 2


class MishapKind(Protocol):
    """What may be asked of one kind of mishap."""

    @property
    def unit(self) -> str: ...

    @property
    def usual(self) -> float: ...

    @property
    def least(self) -> float: ...

    @property
    def most(self) -> float: ...


@dataclass(frozen=True, slots=True)
class SourceEntry:
    """One publication, or the list entry of a table the program ships."""

    key: str
    citation: str
    details: tuple[tuple[str, str], ...] = ()


class TankReader(Protocol):
    """Read a tank file or a keeper's log; raise ``BadInput`` where it cannot be used."""

    def __call__(self, path: Path) -> tuple[Tank, tuple[Finding, ...]]: ...


class Foreteller(Protocol):
    """Run the engine; ``request.as_of`` is an aware moment or ``None`` here."""

    def __call__(
        self, tank: Tank, request: Request, as_of: datetime | None, progress: Progress | None
    ) -> Forecast: ...


class Rehearser(Protocol):
    """Run other futures; raise ``BadInput`` where the tank gives a mishap nothing to work on."""

    def __call__(
        self,
        tank: Tank,
        request: RehearsalRequest,
        as_of: datetime | None,
        progress: Progress | None,
    ) -> Rehearsals: ...


class TodayJudge(Protocol):
    """Judge a tank and choose its next steps; ``early`` gets the verdict, then the steps."""

    def __call__(
        self,
        tank: Tank,
        request: TodayRequest,
        as_of: datetime | None,
        progress: Progress | None,
        early: Callable[[Today], None] | None,
    ) -> Today: ...


class QuickTank(Protocol):
    """A tank from a few words; raise ``BadInput`` where they cannot be read."""

    def __call__(
        self, request: TodayRequest, now: datetime, own: Sequence[OwnAnimal] = ()
    ) -> tuple[Tank, tuple[Finding, ...]]: ...


class WaysComparer(Protocol):
    """Run every way to start a tank."""

    def __call__(
        self, tank: Tank, request: WaysRequest, as_of: datetime | None, progress: Progress | None
    ) -> Ways: ...


class LimitLister(Protocol):
    """List the limits that hold for a tank at a moment, the last of its log where none is told."""

    def __call__(self, tank: Tank, as_of: datetime | None) -> LimitList: ...


class HomeBringer(Protocol):
    """Work out a bag's water on arrival and the way into the tank."""

    def __call__(
        self, tank: Tank, trip: Trip, seed: int, at: datetime, forecast: Forecast | None = None
    ) -> Homecoming: ...


class HomecomingWriter(Protocol):
    """A homecoming as the published JSON document."""

    def __call__(self, homecoming: Homecoming) -> Mapping[str, Any]: ...


class RehearsalsWriter(Protocol):
    """Rehearsals as the published JSON document."""

    def __call__(self, rehearsals: Rehearsals) -> Mapping[str, Any]: ...


class Replayer(Protocol):
    """Foretell a log again and again; raise ``BadInput`` where it has too few readings."""

    def __call__(self, tank: Tank, request: ScoreRequest, progress: Progress | None) -> Scores: ...


class ForecastReader(Protocol):
    """Read a stored forecast document; raise ``BadInput`` where it is none."""

    def __call__(self, path: Path) -> Forecast: ...


class StoredScorer(Protocol):
    """Score stored forecasts on the readings taken since."""

    def __call__(self, tank: Tank, stored: Sequence[Forecast]) -> Scores: ...


class ScoresWriter(Protocol):
    """The scores as the published JSON document."""

    def __call__(self, scores: Scores) -> Mapping[str, Any]: ...


class PictureWriter(Protocol):
    """Write a picture in the form its file ending names."""

    def __call__(self, picture: Picture, path: Path) -> None: ...


class ScorePictureWriter(Protocol):
    """Write a picture of scores in the form its file ending names."""

    def __call__(self, picture: ScorePicture, path: Path) -> None: ...


class ForecastWriter(Protocol):
    """The forecast as the published JSON document."""

    def __call__(self, forecast: Forecast) -> Mapping[str, Any]: ...


@dataclass(frozen=True, slots=True)
class Ports:
    """The real parts, or the stand-ins of a test."""

    read_tank: TankReader
    foretell: Foreteller
    rehearse: Rehearser
    bring_home: HomeBringer
    today: TodayJudge
    compare_ways: WaysComparer
    list_limits: LimitLister
    limits_document: Callable[[LimitList], Mapping[str, Any]]
    ways_document: Callable[[Ways], Mapping[str, Any]]
    quick_tank: QuickTank
    today_document: Callable[[Today], Mapping[str, Any]]
    mishap_kinds: Callable[[], Mapping[str, MishapKind]]
    replay: Replayer
    read_forecast: ForecastReader
    score_stored: StoredScorer
    write_picture: PictureWriter
    write_score_picture: ScorePictureWriter
    forecast_document: ForecastWriter
    scores_document: ScoresWriter
    rehearsals_document: RehearsalsWriter
    homecoming_document: HomecomingWriter
    tank_file_schema: Callable[[], Mapping[str, Any]]
    sources: Callable[[], Sequence[SourceEntry]]
    journal: JournalPorts
    exchange: ExchangePorts
    growing: GrowingPorts
    animals: AnimalPorts
    blueprint: BlueprintPorts
    inside: InsidePorts
    pages: PagePorts
    jobs: JobPorts
    care: CarePorts
