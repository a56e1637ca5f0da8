"""``watervane animals``."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from watervane.app.animals import AnimalsFound, list_animals, show_animal
from watervane.app.ports import BadInput, Ports
from watervane.charts import WordTable
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Finding, Person
from watervane.wording import finding_line
from watervane.wording.animals import (
    animal_groups,
    animal_sentences,
    animal_title,
    list_sentences,
    list_tables,
    list_title,
)


@dataclass(frozen=True, slots=True)
class Asked:
    """The options of one call."""

    kind: str | None
    suits: tuple[str, ...]
    own: Path | None
    row: bool
    as_json: bool


def run_animals(asked: Asked, ports: Ports) -> int:
    """List and print; returns the exit code."""
    if asked.row:
        raise BadInput([Finding("animals-row-of-whom", "problem", {})])
    found = list_animals(Person(), asked.kind, asked.suits, asked.own, ports)
    if asked.as_json:
        return _json(found, ports)
    printer = Printer()
    printer.heading(list_title(found.animals))
    for sentence in list_sentences(found.animals, found.wanted):
        printer.sentence(sentence)
        printer.sentence("")
    for table in list_tables(found.animals):
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    _remarks(found, printer)
    return FINE


def run_animal(name: str, asked: Asked, ports: Ports) -> int:
    """Look one up and print; returns the exit code."""
    if asked.kind is not None or asked.suits:
        raise BadInput([Finding("animals-name-or-list", "problem", {"name": name[:60]})])
    found = show_animal(Person(), name, asked.own, ports)
    ((animal, _),) = found.animals
    if asked.row:
        print(ports.animals.row(animal), end="")
        return FINE
    if asked.as_json:
        return _json(found, ports)
    printer = Printer()
    printer.heading(animal_title(animal))
    for sentence in animal_sentences(animal):
        printer.sentence(sentence)
        printer.sentence("")
    for title, entries in animal_groups(animal):
        printer.heading(title)
        for label, text in entries:
            printer.entry(label, text)
        printer.sentence("")
    _remarks(found, printer)
    return FINE


def _json(found: AnimalsFound, ports: Ports) -> int:
    print(json.dumps(ports.animals.document(found.animals), allow_nan=False, indent=1))
    return FINE


def _remarks(found: AnimalsFound, printer: Printer) -> None:
    for finding in found.findings:
        printer.aside(finding_line(finding))
