"""``watervane care``."""

from __future__ import annotations

import json
from pathlib import Path

from watervane.app import Ports
from watervane.app.care_ports import CareRequest
from watervane.app.caring import Cared, CareFiles, plan_care
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.care import care_parts, care_title
from watervane.wording.tables import NumberTable
from watervane.wording.today import alarm_sentence


def run_care(
    file: Path,
    request: CareRequest,
    as_json: bool,
    ports: Ports,
    files: CareFiles,
    *,
    full: bool = False,
) -> int:
    """Work the care out and print it; returns the exit code."""
    with shown_progress(silent=as_json) as progress:
        found = plan_care(Person(), file, request, ports, progress, files)
    if as_json:
        document = ports.care.schedule_document(found.schedule)
        print(json.dumps(document, allow_nan=False, indent=1))
    else:
        _print(found, full=full)
    return DO_NOT_LEAN_ON_IT if found.schedule.diagnostics.health == "poor" else FINE


def _print(found: Cared, *, full: bool) -> None:
    printer = Printer()
    printer.heading(care_title(found.schedule))
    harm = [alarm_sentence(each) for each in found.alarms]
    if harm:
        for sentence in (phrase("care-harm-first"), *harm):
            printer.sentence(sentence)
        printer.sentence("")
    for part in care_parts(found.schedule):
        if part.title:
            printer.heading(part.title)
        for sentence in part.sentences:
            printer.sentence(sentence)
        for step in part.steps:
            printer.item(step)
        if part.sentences or part.steps:
            printer.sentence("")
        for table in part.tables if full or not part.title else part.tables[:1]:
            printer.table(_words(table))
    told = found.schedule
    printer.remarks((*found.findings, *told.findings, *told.diagnostics.findings), full=full)


def _words(table: NumberTable) -> WordTable:
    return WordTable(table.title, table.caption, table.headers, table.rows)
