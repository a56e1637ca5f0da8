"""Work out the care of a tank for a year."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.care_ports import CareRequest
from watervane.app.ports import Ports, Progress
from watervane.app.use_cases import opened
from watervane.records import Finding, Person
from watervane.records.care import CareSchedule


@dataclass(frozen=True, slots=True)
class Cared:
    """The care of a tank, and what the reader of its file found."""

    schedule: CareSchedule
    findings: tuple[Finding, ...]


def plan_care(
    actor: Person,
    source: Path,
    request: CareRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> Cared:
    """Read a tank and find its routine.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        From what moment, and with how many members.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked, as_of = opened(actor, source, request.as_of, ports, progress)
    found = ports.care.schedule(checked.tank, request, as_of, progress)
    return Cared(found, checked.findings)
