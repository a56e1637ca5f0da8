"""``watervane limits``."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from watervane.app import Ports, list_limits
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Person
from watervane.wording import finding_line, limit_groups, limits_sentences, limits_title


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    at: date | datetime | None
    every: bool
    as_json: bool


def run_limits(file: Path, wanted: Wanted, ports: Ports) -> int:
    """List and print; returns the exit code."""
    found = list_limits(Person(), file, wanted.at, ports)
    if wanted.as_json:
        print(json.dumps(ports.limits_document(found.limits), allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    printer.heading(limits_title(found.limits))
    for sentence in limits_sentences(found.limits):
        printer.sentence(sentence)
    printer.sentence("")
    for title, entries in limit_groups(found.limits, every=wanted.every):
        printer.heading(title)
        for name, text in entries:
            printer.entry(name, text)
        printer.sentence("")
    for finding in found.findings:
        if finding.severity != "info":
            printer.aside(finding_line(finding))
    return FINE
