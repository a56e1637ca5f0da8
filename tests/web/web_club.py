"""Tanks of which a worker has found out what the test says."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_today import sample_today

from watervane.app import TodayRequest
from watervane.app.job_ports import WorkRequest
from watervane.app.working import work
from watervane.exchange.forecast_json import forecast_document
from watervane.records import Forecast, Tank, Today


def calm_day() -> Today:
    """A day on which nothing points to harm."""
    day = sample_today()
    said = replace(day.verdict, key="nothing-points-to-harm", leading=None, dangers=(), swing=None)
    return replace(day, verdict=said)


def computed(fake: FakePorts, days: Mapping[str, Today], foretold: Forecast | None = None) -> None:
    """Let a worker of this process judge and foretell the tanks, as it is told to."""

    def judge(
        tank: Tank, request: TodayRequest, as_of: datetime, progress: Any, early: Callable[..., Any]
    ) -> Today:
        return replace(days[tank.name], as_of=as_of)

    def foretell(
        key: str, tank: Tank, request: WorkRequest, as_of: datetime, progress: Any, early: Any
    ) -> Forecast:
        known = sample_forecast() if foretold is None else foretold
        late = as_of - known.as_of
        moved = tuple(at + late for at in known.times)
        return replace(known, as_of=as_of, times=moved, filled=known.filled + late)

    ports = fake.ports()
    ports = replace(
        ports,
        today=judge,
        forecast_document=forecast_document,
        jobs=replace(ports.jobs, step_back=lambda: 1, foretell=foretell),
    )
    work(WorkRequest(once=True, keep_current=True), ports, threading.Event())
