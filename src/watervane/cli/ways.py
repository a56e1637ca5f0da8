"""``watervane ways``."""

from __future__ import annotations

import json
from pathlib import Path

from watervane.app import Compared, Ports, WaysRequest, compare_ways
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Person
from watervane.wording import (
    phrase,
    start_remarks,
    start_sentences,
    start_steps,
    start_table,
    start_title,
)


def run_ways(
    file: Path, request: WaysRequest, as_json: bool, ports: Ports, *, full: bool = False
) -> int:
    """Compare and print; returns the exit code."""
    with shown_progress(silent=as_json) as progress:
        found = compare_ways(Person(), file, request, ports, progress)
    if as_json:
        print(json.dumps(ports.ways_document(found.ways), allow_nan=False, indent=1))
    else:
        _print(found, Printer(), full=full)
    return DO_NOT_LEAN_ON_IT if found.ways.diagnostics.health == "poor" else FINE


def _print(found: Compared, printer: Printer, *, full: bool) -> None:
    printer.heading(start_title(found.ways))
    for sentence in start_sentences(found.ways):
        printer.sentence(sentence)
    printer.sentence("")
    steps = start_steps(found.ways)
    if steps:
        printer.heading(phrase("start-how-title"))
        for step in steps:
            printer.item(step)
        printer.sentence("")
    table = start_table(found.ways)
    printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    printer.meaning()
    for remark in start_remarks(found.ways):
        printer.item(remark)
    printer.remarks((*found.findings, *found.ways.diagnostics.findings), full=full)
