"""``watervane ledger`` and ``colonies``."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from watervane.app import BadInput, Ports
from watervane.app.inside import LookedInside, keep_ledger, view_colonies
from watervane.app.inside_pictures import colonies_picture, ledger_picture
from watervane.app.inside_ports import InsideRequest
from watervane.charts import SCORE_ENDINGS, WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.forecast import parsed_moment, written
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Colonies, Finding, NitrogenLedger, Person
from watervane.wording import phrase
from watervane.wording.colonies import colonies_sentences, colonies_table, colonies_title
from watervane.wording.ledger import ledger_sentences, ledger_table, ledger_title
from watervane.wording.tables import NumberTable


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call; ``effort`` is members, seed and threads."""

    at: str | None
    days: int
    charts: tuple[Path, ...]
    full: bool
    as_json: bool
    effort: tuple[int, int, int]

    def request(self) -> InsideRequest:
        """The same as the use case takes it."""
        return InsideRequest(parsed_moment(self.at), self.days, *self.effort)


def run_ledger(file: Path, wanted: Wanted, ports: Ports) -> int:
    """Keep the books and print them; returns the exit code."""
    check_drawings(wanted.charts)
    with shown_progress(silent=wanted.as_json) as progress:
        found = keep_ledger(Person(), file, wanted.request(), ports, progress)
        ledger = found.told
        # Of the longest stretch: the one a keeper means by "where did it all go?"
        picture = ledger_picture(ledger, ledger.stretches[0])
        written(wanted.charts, partial(ports.inside.write_ledger_picture, picture))
    document = ports.inside.ledger_document(ledger) if wanted.as_json else None
    sentences = ledger_sentences(ledger)
    return _out(found, wanted, document, ledger_title(ledger), sentences, ledger_table(ledger))


def run_colonies(file: Path, wanted: Wanted, ports: Ports) -> int:
    """View the colonies and print them; returns the exit code."""
    check_drawings(wanted.charts)
    with shown_progress(silent=wanted.as_json) as progress:
        found = view_colonies(Person(), file, wanted.request(), ports, progress)
        picture = colonies_picture(found.told)
        written(wanted.charts, partial(ports.inside.write_colonies_picture, picture))
    told = found.told
    document = ports.inside.colonies_document(told) if wanted.as_json else None
    sentences = colonies_sentences(told)
    return _out(found, wanted, document, colonies_title(told), sentences, colonies_table(told))


def check_drawings(paths: Sequence[Path]) -> None:
    """Refuse forms that are not drawn before any work is done.

    Raises
    ------
    BadInput
        Naming every wrong ending.
    """
    wrong = [path for path in paths if path.suffix.lower() not in SCORE_ENDINGS]
    if wrong:
        told = ({"file": str(path)} for path in wrong)
        raise BadInput([Finding("inside-chart-ending", "problem", each) for each in told])


def _out(
    found: LookedInside[NitrogenLedger] | LookedInside[Colonies],
    wanted: Wanted,
    document: Mapping[str, Any] | None,
    title: str,
    sentences: Sequence[str],
    table: NumberTable,
) -> int:
    told, printer = found.told, Printer()
    if document is not None:
        print(json.dumps(document, allow_nan=False, indent=1))
    else:
        printer.heading(title)
        for sentence in sentences:
            printer.sentence(sentence)
        printer.sentence("")
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
        remarks = (*found.findings, *told.findings, *told.diagnostics.findings)
        printer.remarks(remarks, full=wanted.full)
    for path in wanted.charts:
        printer.aside(phrase("wrote", file=str(path)))
    return DO_NOT_LEAN_ON_IT if told.diagnostics.health == "poor" else FINE
