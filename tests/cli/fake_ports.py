"""Stand-ins for the outside parts, for tests of the use cases and the command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from sample_care import sample_care
from sample_forecasts import FILLED, sample_forecast, sample_tank
from sample_growing import FakeGrowing
from sample_inside import FakeInside
from sample_rehearsals import sample_rehearsals
from sample_scores import sample_scores
from sample_today import sample_today
from sample_ways import sample_ways

from watervane.app.care_ports import CareRequest
from watervane.app.ports import (
    BadInput,
    Ports,
    Progress,
    RehearsalRequest,
    Request,
    ScoreRequest,
    SourceEntry,
    TodayRequest,
    WaysRequest,
)
from watervane.bootstrap_animals import animal_ports
from watervane.bootstrap_blueprint import blueprint_ports
from watervane.bootstrap_care import care_ports
from watervane.bootstrap_exchange import exchange_ports
from watervane.bootstrap_jobs import job_ports
from watervane.bootstrap_journal import journal_ports
from watervane.bootstrap_web import page_ports
from watervane.charts import Picture, write_picture, write_score_picture
from watervane.engine import MISHAP_KINDS, bring_home, list_limits
from watervane.exchange import (
    TankFileErrors,
    homecoming_document,
    limit_list_document,
    quick_tank,
    rehearsals_document,
    today_document,
    ways_document,
)
from watervane.records import Finding, Forecast, OwnAnimal, Rehearsals, Scores, Tank, Today, Ways
from watervane.records.care import CareSchedule


@dataclass
class FakePorts:
    """Ports that hand out the invented tank and forecast and note what was asked."""

    tank: Tank = field(default_factory=sample_tank)
    findings: tuple[Finding, ...] = ()
    failure: BaseException | None = None
    forecast: Forecast | None = None
    asked: list[tuple[Request, datetime | None]] = field(default_factory=list)
    scores: Scores = field(default_factory=sample_scores)
    stored: Forecast = field(default_factory=sample_forecast)
    replayed: list[ScoreRequest] = field(default_factory=list)
    judged: list[tuple[TodayRequest, datetime | None]] = field(default_factory=list)
    day: Today = field(default_factory=sample_today)
    rehearsed: list[RehearsalRequest] = field(default_factory=list)
    growing: FakeGrowing = field(default_factory=FakeGrowing)
    inside: FakeInside = field(default_factory=FakeInside)
    ways: Ways = field(default_factory=sample_ways)
    compared: list[tuple[WaysRequest, datetime | None]] = field(default_factory=list)
    schedule: CareSchedule = field(default_factory=sample_care)
    cared: list[tuple[CareRequest, datetime | None]] = field(default_factory=list)

    def ports(self) -> Ports:
        return Ports(
            read_tank=self._read,
            foretell=self._foretell,
            rehearse=self._rehearse,
            today=self._today,
            compare_ways=self._compare_ways,
            ways_document=ways_document,
            list_limits=lambda tank, as_of: list_limits(tank, as_of=as_of),
            limits_document=limit_list_document,
            quick_tank=self._quick_tank,
            today_document=today_document,
            bring_home=lambda tank, trip, seed, at, forecast=None: bring_home(
                tank, trip, seed=seed, at=at, forecast=forecast
            ),
            homecoming_document=homecoming_document,
            mishap_kinds=lambda: MISHAP_KINDS,
            rehearsals_document=rehearsals_document,
            replay=self._replay,
            read_forecast=lambda path: self.stored,
            score_stored=lambda tank, stored: self.scores,
            write_picture=self._write,
            write_score_picture=write_score_picture,
            forecast_document=self._document,
            scores_document=lambda scores: {"format": "watervane-scores/1"},
            tank_file_schema=lambda: {"title": "tank file"},
            sources=lambda: [
                SourceEntry("flesch1948", "Flesch, R. A new yardstick", (("year", "1948"),)),
                SourceEntry("petersen1965", "Petersen, E. A matrix"),
            ],
            growing=self.growing.ports(),
            animals=animal_ports(),
            blueprint=blueprint_ports(),
            inside=self.inside.ports(),
            pages=page_ports(self.ports, nullcontext),
            jobs=job_ports(),
            care=replace(care_ports(), schedule=self._care),
            exchange=exchange_ports(),
            journal=journal_ports(),  # in the file that WATERVANE_JOURNAL names
        )

    def _read(self, path: Path) -> tuple[Tank, tuple[Finding, ...]]:
        if self.failure is not None:
            raise self.failure
        return self.tank, self.findings

    def _foretell(
        self, tank: Tank, request: Request, as_of: datetime | None, progress: Progress | None
    ) -> Forecast:
        self.asked.append((request, as_of))
        if progress:
            progress("weighing", 0.5)
        if self.forecast is not None:
            return self.forecast
        day = 11.0 if as_of is None else (as_of - FILLED).total_seconds() / 86400
        sharp = 1.0 if day < 20 else 0.5
        return sample_forecast(day=day, horizon_days=request.horizon_days, sharp=sharp)

    def _care(
        self, tank: Tank, request: CareRequest, as_of: datetime | None, progress: Progress | None
    ) -> CareSchedule:
        self.cared.append((request, as_of))
        if progress:
            progress("future", 0.5)
        return self.schedule

    def _compare_ways(
        self, tank: Tank, request: WaysRequest, as_of: datetime | None, progress: Progress | None
    ) -> Ways:
        self.compared.append((request, as_of))
        if progress:
            progress("future", 0.5)
        return self.ways

    def _rehearse(
        self,
        tank: Tank,
        request: RehearsalRequest,
        as_of: datetime | None,
        progress: Progress | None,
    ) -> Rehearsals:
        self.rehearsed.append(request)
        if progress:
            progress("future", 0.5)
        return sample_rehearsals(request.mishaps)

    def _today(
        self,
        tank: Tank,
        request: TodayRequest,
        as_of: datetime | None,
        progress: Progress | None,
        early: Callable[[Today], None] | None,
    ) -> Today:
        self.judged.append((request, as_of))
        if early:
            early(self.day)
        if progress:
            progress("steps", 0.5)
        return self.day

    def _quick_tank(
        self, request: TodayRequest, now: datetime, own: Sequence[OwnAnimal] = ()
    ) -> tuple[Tank, tuple[Finding, ...]]:
        try:
            told = quick_tank(
                *(now, request.readings, request.animals, request.volume, request.days_old),
                own=own,
            )
        except TankFileErrors as error:
            raise BadInput([replace(each, line=None) for each in error.problems]) from error
        self.tank = told[0]
        return told

    def _replay(self, tank: Tank, request: ScoreRequest, progress: Progress | None) -> Scores:
        self.replayed.append(request)
        if progress:
            progress("replay", 0.5)
        return self.scores

    def _write(self, picture: Picture, path: Path) -> None:
        write_picture(picture, path)

    def _document(self, forecast: Forecast) -> Mapping[str, Any]:
        return {"format": "watervane-forecast/1", "tank": forecast.tank, "note": "°"}
