"""What is wrong with a tank today, and what to do: from a file, or from a few words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from watervane.app.ports import BadInput, Ports, Progress, TodayRequest
from watervane.app.use_cases import check, moment_of
from watervane.records import Finding, Person, Tank, Today


@dataclass(frozen=True, slots=True)
class Judged:
    """A tank, its day, and what had to be assumed or was found in its file."""

    tank: Tank
    today: Today
    findings: tuple[Finding, ...]


def today(
    actor: Person,
    source: Path | None,
    request: TodayRequest,
    ports: Ports,
    progress: Progress | None = None,
    early: Callable[[Today], None] | None = None,
) -> Judged:
    """Judge a tank and choose its next steps.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it; ``None`` takes what the request tells.
    request
        Of what moment, at what risk, how carefully.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).
    early
        Called with the verdict, still without steps, as soon as it is known.

    Raises
    ------
    BadInput
        With every problem found.
    """
    told = (*request.readings, *request.animals, *filter(None, (request.volume,)))
    if source is not None and (told or request.days_old is not None):
        raise BadInput([Finding("quick-beside-file", "problem", {"file": source.name})])
    if source is None and not request.readings and not request.animals:
        raise BadInput([Finding("quick-nothing", "problem", {})])
    if progress:
        progress("read", 0.0)
    if source is None:
        now = request.as_of if isinstance(request.as_of, datetime) else datetime.now(UTC)
        tank, findings = ports.quick_tank(request, now)
        as_of: datetime | None
        as_of = now
    else:
        checked = check(actor, source, ports)
        tank, findings = checked.tank, checked.findings
        as_of = moment_of(request.as_of, tank)
    return Judged(tank, ports.today(tank, request, as_of, progress, early), findings)
