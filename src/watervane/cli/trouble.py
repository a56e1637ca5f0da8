"""``watervane trouble``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path

from watervane.app import Ports
from watervane.app.trouble import Fit, find_trouble
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.first_aid import aid_left
from watervane.wording.trouble import (
    cause_sentences,
    check_sentences,
    help_sentences,
    hour_steps,
    trouble_sentences,
)

Told = Mapping[str, str | list[str] | None]


def run_trouble(
    file: Path | None,
    told: Told,
    at: date | datetime | None,
    as_json: bool,
    ports: Ports,
    fit: bool = False,
) -> int:
    """Find the cause and print; returns the exit code."""
    words = {
        name: tuple(each) if isinstance(each, list) else each
        for name, each in told.items()
        if each is not None
    }
    with shown_progress(silent=as_json or not fit) as progress:
        found = find_trouble(Person(), file, words, at, ports, Fit(progress) if fit else None)
    if as_json:
        print(json.dumps(ports.care.trouble_document(found), allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    printer.heading(phrase("trouble-title"))
    for sentence in trouble_sentences(found):
        printer.sentence(sentence)
    printer.sentence("")
    printer.heading(phrase("trouble-meanwhile"))
    printer.sentence(phrase("trouble-meanwhile-note"))
    steps = enumerate(hour_steps(found), 1)
    printer.steps([phrase("aid-numbered", number=number, text=text) for number, text in steps])
    for key, lines in (
        ("aid-left", aid_left(found.hour)),
        ("trouble-checks", check_sentences(found)),
        ("trouble-causes", cause_sentences(found)),
        ("trouble-help", help_sentences(found)),
    ):
        printer.sentence("")
        printer.heading(phrase(key))
        for line in lines:
            printer.item(line)
    printer.sentence("")
    printer.sentence(phrase("trouble-causes-note"))
    return FINE
