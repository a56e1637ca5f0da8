"""What looking inside a tank needs from outside: its nitrogen, its colonies."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, Protocol

from watervane.charts.colonies_spec import ColoniesPicture
from watervane.charts.ledger_spec import LedgerPicture
from watervane.records import Colonies, NitrogenLedger, Tank

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class InsideRequest:
    """What is asked of a look inside; ``horizon_days`` counts for the colonies alone."""

    as_of: date | datetime | None = None
    horizon_days: int = 30
    members: int = 1000
    seed: int = 1
    threads: int = 2


class LedgerKeeper(Protocol):
    """Keep a tank's nitrogen books."""

    def __call__(
        self, tank: Tank, request: InsideRequest, as_of: datetime | None, progress: Progress | None
    ) -> NitrogenLedger: ...


class ColonyWatcher(Protocol):
    """View a tank's colonies."""

    def __call__(
        self, tank: Tank, request: InsideRequest, as_of: datetime | None, progress: Progress | None
    ) -> Colonies: ...


@dataclass(frozen=True, slots=True)
class InsidePorts:
    """The real parts behind a look inside, or the stand-ins of a test."""

    ledger: LedgerKeeper
    colonies: ColonyWatcher
    ledger_document: Callable[[NitrogenLedger], Mapping[str, Any]]
    colonies_document: Callable[[Colonies], Mapping[str, Any]]
    write_ledger_picture: Callable[[LedgerPicture, Path], None]
    write_colonies_picture: Callable[[ColoniesPicture, Path], None]
