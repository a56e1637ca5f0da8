"""``watervane resettle``."""

from __future__ import annotations

import json
from pathlib import Path

from watervane.app import Ports
from watervane.app.resettling import MoveRequest, resettle
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.resettling import (
    resettling_sentences,
    resettling_steps,
    resettling_table,
    resettling_title,
)


def run_resettle(file: Path, request: MoveRequest, as_json: bool, ports: Ports) -> int:
    """Work it out and print; returns the exit code."""
    with shown_progress(silent=as_json) as progress:
        found = resettle(Person(), file, request, ports, progress)
    told = found.resettling
    if as_json:
        print(json.dumps(ports.care.resettling_document(told), allow_nan=False, indent=1))
    else:
        printer = Printer()
        printer.heading(resettling_title(told))
        for sentence in resettling_sentences(told):
            printer.sentence(sentence)
        printer.sentence("")
        printer.heading(phrase("resettle-day"))
        printer.steps(resettling_steps(told))
        printer.sentence("")
        table = resettling_table(told)
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
        printer.remarks(found.findings, full=False)
    return DO_NOT_LEAN_ON_IT if told.diagnostics.health == "poor" else FINE
