"""``watervane blueprint choose``."""

from __future__ import annotations

import json
from pathlib import Path

from watervane.app.blueprint_ports import Words
from watervane.app.choosing import ChosenAnimals, choose_animals
from watervane.app.handing_over import HandOver
from watervane.app.ports import Ports
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.records import Person
from watervane.wording import finding_line
from watervane.wording.choices import (
    choice_lists,
    choice_sentences,
    choice_table,
    choice_title,
    rooms_table,
)


def run_choose(words: Words, own: Path | None, files: HandOver, as_json: bool, ports: Ports) -> int:
    """Choose, print and maybe write; returns the exit code."""
    found = choose_animals(Person(), words, ports, own, files)
    if as_json:
        document = ports.blueprint.choice_document(found.choice)
        print(json.dumps(document, allow_nan=False, indent=1))
    else:
        _print(found, Printer())
    return FINE if found.choice.whole else DO_NOT_LEAN_ON_IT


def _print(found: ChosenAnimals, printer: Printer) -> None:
    choice = found.choice
    printer.heading(choice_title(choice))
    printer.sentence(" ".join(choice_sentences(choice)))
    printer.sentence("")
    for table in (*((choice_table(choice),) if choice.chosen else ()), rooms_table(choice)):
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    for _, title, lines in choice_lists(choice):
        printer.heading(title)
        for line in lines:
            printer.item(line)
        printer.sentence("")
    for finding in found.findings:
        printer.item(finding_line(finding))
