"""``watervane watch``."""

from __future__ import annotations

import json
from pathlib import Path

from watervane.app import Ports
from watervane.app.watching import watch_tank
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.watch import drift_details, drift_sentence, is_old, is_thin, watch_sentences


def run_watch(tank: Path, as_json: bool, ports: Ports) -> int:
    """Compare and print; returns the exit code."""
    found, watch = watch_tank(Person(), tank, ports)
    if as_json:
        print(json.dumps(ports.care.watch_document(watch), allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    printer.heading(phrase("watch-title", tank=found.name))
    quiet = not watch.drifts and any(watch.compared.values()) and not is_old(watch)
    for drift in watch.drifts:
        printer.item(" ".join([drift_sentence(drift), *drift_details(drift)]))
    if quiet:
        printer.sentence(phrase("watch-too-few" if is_thin(watch) else "watch-none"))
    if quiet or watch.drifts:
        printer.sentence("")
    for sentence in watch_sentences(watch):
        printer.sentence(sentence)
    return FINE
