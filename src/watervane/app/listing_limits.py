"""List the limits that hold for a tank."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from watervane.app.ports import Ports
from watervane.app.use_cases import opened
from watervane.records import Finding, LimitList, Person


@dataclass(frozen=True, slots=True)
class Listed:
    """The limits of a tank, and what the reader of its file found."""

    limits: LimitList
    findings: tuple[Finding, ...]


def list_limits(actor: Person, source: Path, as_of: date | datetime | None, ports: Ports) -> Listed:
    """Read a tank and list every limit that holds for those in it and those planned.

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked, moment = opened(actor, source, as_of, ports)
    found = ports.list_limits(checked.tank, moment)
    return Listed(found, checked.findings)
