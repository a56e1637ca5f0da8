"""How much more a tank can take, a test of it, and the way to a full tank."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.growing_ports import ChallengeRequest, FillRequest, HeadroomRequest
from watervane.app.ports import Ports, Progress
from watervane.app.use_cases import hardness_assumed, opened
from watervane.records import Challenge, Filling, Finding, Headroom, Person


@dataclass(frozen=True, slots=True)
class Grown:
    """One answer, and what the reader of the tank's file found."""

    told: Headroom | Challenge | Filling
    findings: tuple[Finding, ...]


def grow(
    actor: Person,
    source: Path,
    request: HeadroomRequest | ChallengeRequest | FillRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> Grown:
    """Read a tank and answer what is asked of its growing.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        Which of the three questions.
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
    growing = ports.growing
    told: Headroom | Challenge | Filling
    if isinstance(request, HeadroomRequest):
        told = growing.headroom(checked.tank, request, as_of, progress)
    elif isinstance(request, ChallengeRequest):
        told = growing.challenge(checked.tank, request, as_of, progress)
    else:
        told = growing.fill(checked.tank, request, as_of, progress)
    return Grown(told, (*checked.findings, *hardness_assumed(checked.tank)))
