"""``watervane calendar``."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from watervane.app.due import what_is_due, write_calendar
from watervane.app.ports import Ports
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Person
from watervane.wording import finding_line, phrase
from watervane.wording.dates import day_and_clock


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    days: int
    to: Path | None
    over: bool
    as_json: bool


def run_calendar(source: Path, wanted: Wanted, ports: Ports) -> int:
    """List what is due, or write it; returns the exit code."""
    now = ports.journal.now().replace(microsecond=0)
    due = what_is_due(Person(), source, ports, now, wanted.days)
    written = None
    if wanted.to is not None:
        written = write_calendar(due.calendar, wanted.to, ports, now, over=wanted.over)
    if wanted.as_json:
        print(json.dumps(ports.exchange.calendar_document(due.calendar), indent=1))
        return FINE
    printer = Printer()
    if written is not None:
        printer.aside(finding_line(written))
        return FINE
    printer.heading(due.calendar.name)
    key = "calendar-lead" if due.calendar.entries else "calendar-nothing"
    printer.sentence(phrase(key, days=wanted.days))
    printer.sentence("")
    for entry in due.calendar.entries:
        printer.item(phrase("calendar-line", when=day_and_clock(entry.begins), what=entry.title))
    for finding in due.findings:
        if finding.severity != "info":
            printer.aside(finding_line(finding))
    return FINE
