"""Compare the ways to start a tank that are open to it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import Ports, Progress, WaysRequest
from watervane.app.use_cases import opened
from watervane.records import Finding, Person, Tank, Ways


@dataclass(frozen=True, slots=True)
class Compared:
    """A tank, its ways, and what the reader of its file found."""

    tank: Tank
    ways: Ways
    findings: tuple[Finding, ...]


def compare_ways(
    actor: Person,
    source: Path,
    request: WaysRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> Compared:
    """Read a tank and run every way to start it.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        From what moment, how far.
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
    found = ports.compare_ways(checked.tank, request, as_of, progress)
    return Compared(checked.tank, found, checked.findings)
