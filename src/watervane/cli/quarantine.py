"""``watervane quarantine``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from watervane.app import Ports
from watervane.app.quarantine import quarantine
from watervane.charts import WordTable
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.wording import phrase
from watervane.wording.quarantine import (
    quarantine_remarks,
    quarantine_rounds,
    quarantine_sentences,
    quarantine_title,
)


def run_quarantine(options: Mapping[str, Any], as_json: bool, ports: Ports) -> int:
    """Work it out and print; returns the exit code."""
    words = {
        name.replace("_", "-"): tuple(told) if isinstance(told, list) else told
        for name, told in options.items()
        if told is not None
    }
    plan = quarantine(words, ports)
    if as_json:
        print(json.dumps(ports.care.quarantine_document(plan), allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    printer.heading(quarantine_title(plan))
    for sentence in quarantine_sentences(plan):
        printer.sentence(sentence)
    printer.sentence("")
    table = quarantine_rounds(plan)
    printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    printer.heading(phrase("quarantine-know"))
    for remark in quarantine_remarks(plan):
        printer.item(remark)
    return FINE
