"""Move colonies: what travels, what comes of it, what to do on the day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from watervane.app.ports import Ports, Progress
from watervane.app.use_cases import key_in_journal, opened
from watervane.records import Finding, Person, Tank
from watervane.records.resettling import ColonyMove, Resettling


@dataclass(frozen=True, slots=True)
class MoveRequest:
    """What is moved, as of what moment, how carefully it is looked at.

    ``carried_from`` is as of `watervane.app.care_ports.CareRequest`.
    """

    move: ColonyMove
    as_of: date | datetime | None = None
    horizon_days: int = 28
    members: int = 1000
    seed: int = 1
    threads: int = 2
    carried_from: str | None = None


@dataclass(frozen=True, slots=True)
class Resettled:
    """A tank, its move, and what the reader of its file found."""

    tank: Tank
    resettling: Resettling
    findings: tuple[Finding, ...]


def resettle(
    actor: Person,
    source: Path,
    request: MoveRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> Resettled:
    """Work a move out.

    Raises
    ------
    BadInput
        With every problem of the file or of the move.
    """
    checked, as_of = opened(actor, source, request.as_of, ports, progress)
    if request.as_of is None:
        request = replace(request, carried_from=key_in_journal(actor, source, ports))
    found = ports.care.resettle(checked.tank, request, as_of, progress)
    return Resettled(checked.tank, found, checked.findings)
