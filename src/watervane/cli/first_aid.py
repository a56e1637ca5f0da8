"""``watervane first-aid``."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from watervane.app import Ports
from watervane.app.first_aid import first_aid, write_sheet
from watervane.app.first_aid_page import write_page
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.first_aid import (
    aid_cautions,
    aid_left,
    aid_likely,
    aid_next,
    aid_numbered,
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    see: str
    done: tuple[str, ...]
    tests: tuple[str, ...]
    page: Path | None
    sheet: Path | None
    as_json: bool


def run_first_aid(wanted: Wanted, ports: Ports) -> int:
    """Work it out, print and maybe write; returns the exit code."""
    told = first_aid(Person(), wanted.see, wanted.done, wanted.tests, ports)
    written = []
    if wanted.page is not None:
        write_page(wanted.page, ports)
        written.append(wanted.page)
    if wanted.sheet is not None:
        write_sheet(wanted.sheet, ports)
        written.append(wanted.sheet)
    printer = Printer()
    for file in written:
        printer.aside(phrase("aid-written", file=str(file)))
    if wanted.as_json:
        print(json.dumps(ports.care.first_aid_document(told), allow_nan=False, indent=1))
        return FINE
    if written and not (wanted.see or wanted.done or wanted.tests):
        return FINE
    printer.heading(phrase("aid-steps"))
    printer.steps(aid_numbered(told))
    for line in aid_next(told):  # in the same minute: not below all that is left alone
        printer.sentence("")
        printer.sentence(line)
    for key, lines in (
        ("aid-left", aid_left(told)),
        ("aid-why-page", [*aid_likely(told), *aid_cautions()]),
    ):
        printer.sentence("")
        printer.heading(phrase(key))
        for line in lines:
            printer.item(line)
    return FINE
