"""What the use cases need from outside, as protocols; ``bootstrap`` picks the parts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, Protocol

from watervane.charts import Picture
from watervane.records import Finding, Forecast, Tank

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
    the engine. ``accuracy`` is ``printed`` or ``sampling``.
    """

    as_of: date | datetime | None = None
    horizon_days: int = 30
    members: int = 1000
    seed: int = 1
    accuracy: str = "printed"
    threads: int = 2


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


class PictureWriter(Protocol):
    """Write a picture in the form its file ending names."""

    def __call__(self, picture: Picture, path: Path) -> None: ...


class ForecastWriter(Protocol):
    """The forecast as the published JSON document."""

    def __call__(self, forecast: Forecast) -> Mapping[str, Any]: ...


@dataclass(frozen=True, slots=True)
class Ports:
    """The real parts, or the stand-ins of a test."""

    read_tank: TankReader
    foretell: Foreteller
    write_picture: PictureWriter
    forecast_document: ForecastWriter
    tank_file_schema: Callable[[], Mapping[str, Any]]
    sources: Callable[[], Sequence[SourceEntry]]
