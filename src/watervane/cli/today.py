"""``watervane today``."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from watervane.app import BadInput, Judged, Ports, TodayRequest, today
from watervane.app.today import Meanwhile
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import AtOnce, Finding, Person, Today
from watervane.wording import (
    finding_text,
    hour_sentences,
    note_sentences,
    order_sentences,
    phrase,
    step_sentences,
    today_title,
    verdict_sentences,
    ways_table,
)
from watervane.wording.at_once import at_once_sentences, at_once_steps, bound_sentence
from watervane.wording.last_entry import last_entry_sentence
from watervane.wording.today import odd_today

TIERS = ("acute", "chronic", "comfort")
# Said with the verdict: it rests on water that was read otherwise.
UNFITTING = ("day-contradicts", "log-contradicts", "source-contradicts")

# As it is said where there is no file to write it into.
NO_FILE = {"assumed-feeding": "quick-feeding"}


def run_today(
    file: Path | None, request: TodayRequest, as_json: bool, ports: Ports, *, full: bool = False
) -> int:
    """Judge and print; returns the exit code."""
    printer = Printer()
    said: list[Today] = []
    read: list[str] = []

    def by_readings(told: AtOnce) -> None:
        read.extend(at_once_steps(told))
        for sentence in (*at_once_sentences(told), *read):
            printer.aside(sentence)
        printer.aside(phrase("at-once-follows"))

    of_last = file is not None and request.as_of is None

    def early(day: Today) -> None:
        if not said:
            _verdict(day, printer, read, of_last=of_last)
        said.append(day)

    with shown_progress(silent=as_json) as progress:
        told = Meanwhile() if as_json else Meanwhile(by_readings, early)
        found = today(Person(), file, request, ports, progress, told)
    if as_json:
        print(json.dumps(ports.today_document(found.today), allow_nan=False, indent=1))
    else:
        if found.today.verdict.key == "no-animals" and not said:
            _verdict(found.today, printer, read, of_last=of_last)
        _print(found, printer, of_file=file is not None, full=full)
    return DO_NOT_LEAN_ON_IT if found.today.diagnostics.health == "poor" else FINE


def accepted_risk(texts: list[str]) -> dict[str, float]:
    """Chances by tier that are accepted this once: ``acute=0.5``, in per cent.

    Raises
    ------
    BadInput
        With every one that cannot be read.
    """
    told: dict[str, float] = {}
    problems = []
    for text in texts:
        tier, _, written = text.partition("=")
        try:
            share = float(written.strip().rstrip("%").replace(",", ".")) / 100.0
        except ValueError:
            share = -1.0
        if tier.strip() in TIERS and 0.0 < share < 1.0:
            told[tier.strip()] = share
        else:
            given: dict[str, object] = {"text": repr(text), "tiers": ", ".join(TIERS)}
            problems.append(Finding("risk-unreadable", "problem", given))
    if problems:
        raise BadInput(problems)
    return told


def _print(found: Judged, printer: Printer, *, of_file: bool, full: bool) -> None:
    day = found.today
    bound = bound_sentence(day.bounded)
    _part(printer, "hour-title", hour_sentences(day))
    _part(printer, "steps-title", [*([bound, ""] if bound else []), *step_sentences(day)])
    _part(printer, "notes-title", note_sentences(day))
    tap_c = found.tank.source_water.temperature_c
    _part(printer, "order-title", order_sentences(day, tap_c))
    if len(day.frontier) > 1:
        table = ways_table(day)
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
        printer.meaning()
    printer.remarks(_remarks(found, of_file=of_file), full=full)


def _verdict(day: Today, printer: Printer, read: list[str], *, of_last: bool) -> None:
    """Title and verdict, as soon as they are known; of what day, where that is the log's.

    Where it does not go by what was ``read``, what to do if that was no slip.
    """
    printer.heading(today_title(day))
    if of_last and (told := last_entry_sentence(day.as_of, datetime.now(UTC))):
        printer.sentence(told)
    for sentence in verdict_sentences(day):
        printer.sentence(sentence)
    for finding in day.diagnostics.findings:
        if finding.key in UNFITTING:
            printer.item(finding_text(finding))
    if read and odd_today(day) and day.verdict.key != "reading-harmful":
        printer.sentence(phrase("verdict-odd-again", what=" ".join(read)))
    printer.sentence("")


def _remarks(found: Judged, *, of_file: bool) -> list[Finding]:
    """What was assumed; where no file was told there is no line, and no place to write more."""
    day = found.today
    fitting = (each for each in day.diagnostics.findings if each.key not in UNFITTING)
    told = [*found.findings, *day.remarks, *fitting]
    if of_file:
        return told
    rest = (each for each in told if each.severity != "info")
    return [replace(each, line=None, key=NO_FILE.get(each.key, each.key)) for each in rest]


def _part(printer: Printer, title: str, sentences: list[str]) -> None:
    if sentences:
        printer.heading(phrase(title))
        printer.steps(sentences)
        printer.sentence("")
