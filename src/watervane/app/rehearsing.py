"""Rehearse mishaps on a tank: the same tank under another future."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import Ports, Progress, RehearsalRequest
from watervane.app.use_cases import hardness_assumed, opened
from watervane.records import Finding, Person, Rehearsals, Tank


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """A tank, what its mishaps came to and what the reader of its file found."""

    tank: Tank
    rehearsals: Rehearsals
    findings: tuple[Finding, ...]


def rehearse(
    actor: Person,
    source: Path,
    request: RehearsalRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> Rehearsed:
    """Read a tank and rehearse mishaps on it.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        Which mishaps, of what moment, how far.
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
    rehearsals = ports.rehearse(checked.tank, request, as_of, progress)
    findings = (*checked.findings, *hardness_assumed(checked.tank))
    return Rehearsed(checked.tank, rehearsals, findings)
