"""Look inside a tank: where its nitrogen is, and what its colonies could do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Generic, TypeVar

from watervane.app.inside_ports import InsideRequest
from watervane.app.ports import Ports, Progress
from watervane.app.use_cases import opened
from watervane.records import Colonies, Finding, NitrogenLedger, Person, Tank

Told = TypeVar("Told", NitrogenLedger, Colonies)


@dataclass(frozen=True, slots=True)
class LookedInside(Generic[Told]):
    """One answer, and what the reader of the tank's file found."""

    told: Told
    findings: tuple[Finding, ...]


def keep_ledger(
    actor: Person,
    source: Path,
    request: InsideRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> LookedInside[NitrogenLedger]:
    """Read a tank and keep its nitrogen books.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        Moment, members, seed, threads.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).

    Raises
    ------
    BadInput
        With every problem found.
    """
    return _looked(actor, source, request, ports, progress, ports.inside.ledger)


def view_colonies(
    actor: Person,
    source: Path,
    request: InsideRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> LookedInside[Colonies]:
    """Read a tank and view its colonies; see `keep_ledger`."""
    return _looked(actor, source, request, ports, progress, ports.inside.colonies)


def _looked(
    actor: Person,
    source: Path,
    request: InsideRequest,
    ports: Ports,
    progress: Progress | None,
    look: Callable[[Tank, InsideRequest, datetime | None, Progress | None], Told],
) -> LookedInside[Told]:
    checked, as_of = opened(actor, source, request.as_of, ports, progress)
    return LookedInside(look(checked.tank, request, as_of, progress), checked.findings)
