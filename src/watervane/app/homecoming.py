"""Bring animals home to a tank."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import Ports
from watervane.app.use_cases import check
from watervane.records import Finding, Homecoming, Person, Trip


@dataclass(frozen=True, slots=True)
class BroughtHome:
    """What a trip comes to, and what the reader of the tank's file found."""

    homecoming: Homecoming
    findings: tuple[Finding, ...]


def bring_home(actor: Person, source: Path, trip: Trip, seed: int, ports: Ports) -> BroughtHome:
    """Read a tank and work out a trip to it.

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked = check(actor, source, ports)
    return BroughtHome(ports.bring_home(checked.tank, trip, seed), checked.findings)
