"""``watervane check``, ``schema`` and ``sources``."""

from __future__ import annotations

import difflib
import json
from pathlib import Path

from watervane.app import BadInput, Ports, check
from watervane.app.ports import SourceEntry
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Finding, Person
from watervane.wording import finding_line, phrase


def run_check(file: Path, ports: Ports) -> int:
    """Read the file and say that it is in order, or raise with its problems."""
    checked = check(Person(), file, ports)
    tank, printer = checked.tank, Printer()
    told = {"readings": len(tank.readings), "events": len(tank.events), "habits": len(tank.habits)}
    printer.sentence(phrase("check-fine", file=str(file), **told))
    if checked.findings:
        printer.sentence(phrase("check-notes"))
        for finding in checked.findings:
            printer.item(finding_line(finding))
    return FINE


def run_schema(ports: Ports, *, journal: bool = False) -> int:
    """Print the schema of a tank file, or of a journal document, as JSON."""
    schema = ports.exchange.journal_schema() if journal else ports.tank_file_schema()
    print(json.dumps(schema, indent=2))
    return FINE


def run_sources(key: str | None, ports: Ports) -> int:
    """Print all sources, a line each, or all that is known of one."""
    entries = {entry.key: entry for entry in ports.sources()}
    printer = Printer()
    if key is None:
        for entry in entries.values():
            printer.entry(entry.key, entry.citation)
        return FINE
    if key not in entries:
        close = difflib.get_close_matches(key, entries, n=3, cutoff=0.6)
        told = {
            "key": repr(key),
            "near": phrase("source-near", keys=" or ".join(close)) if close else "",
        }
        raise BadInput([Finding("source-unknown", "problem", told)])
    _print_source(entries[key], printer)
    return FINE


def _print_source(entry: SourceEntry, printer: Printer) -> None:
    printer.entry(entry.key, entry.citation)
    for name, value in entry.details:
        printer.entry(f"  {name}", value)
