"""``watervane dose``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from watervane.app import Ports
from watervane.app.dosing import dose
from watervane.charts import WordTable
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.doses import course_rows, dose_remarks, dose_sentences, dose_title


def run_dose(options: Mapping[str, Any], tank: Path | None, as_json: bool, ports: Ports) -> int:
    """Work it out and print; returns the exit code."""
    words = {
        name.replace("_", "-"): tuple(told) if isinstance(told, list) else told
        for name, told in options.items()
        if told is not None and name != "sure"
    }
    if options.get("sure"):
        words["sure"] = "yes"
    sheet = dose(Person(), words, tank, ports)
    if as_json:
        print(json.dumps(ports.care.dose_document(sheet), allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    printer.heading(dose_title(sheet))
    for sentence in dose_sentences(sheet):
        printer.sentence(sentence)
    if sheet.course:
        printer.sentence("")
        title, note = phrase("dose-course"), phrase("dose-course-note")
        printer.table(WordTable(title, note, *course_rows(sheet)))
    printer.sentence("")
    printer.heading(phrase("dose-know"))
    for remark in dose_remarks(sheet):
        printer.item(remark)
    return FINE
