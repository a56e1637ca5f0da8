"""``watervane score``."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path

from watervane.app import BadInput, Ports, Scored, ScoreRequest, score, score_picture_of
from watervane.charts import SCORE_ENDINGS, WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.forecast import written
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Finding, Person, Scores
from watervane.wording import finding_line, phrase, score_sentences, score_tables

MOSTLY = 0.5  # of the forecasts


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    every: str | None
    stored: tuple[Path, ...]
    kept: bool
    charts: tuple[Path, ...]
    as_json: bool
    seed: int
    members: int
    threads: int


def run_score(file: Path, wanted: Wanted, ports: Ports) -> int:
    """Score and print; returns the exit code."""
    wrong = [path for path in wanted.charts if path.suffix.lower() not in SCORE_ENDINGS]
    if wrong:
        raise BadInput([Finding("score-chart-ending", "problem", {"file": str(p)}) for p in wrong])
    request = ScoreRequest(
        every_days=parsed_days(wanted.every),
        members=wanted.members,
        seed=wanted.seed,
        threads=wanted.threads,
        stored=wanted.stored,
        kept=wanted.kept,
    )
    with shown_progress(silent=wanted.as_json) as progress:
        scored = score(Person(), file, request, ports, progress)
    printer = Printer()
    if wanted.charts:
        picture = score_picture_of(scored)
        written(wanted.charts, lambda path: ports.write_score_picture(picture, path))
    if wanted.as_json:
        print(json.dumps(ports.scores_document(scored.scores), allow_nan=False, indent=1))
    else:
        _print(scored, printer)
    for path in wanted.charts:
        printer.aside(phrase("wrote", file=str(path)))
    return exit_code(scored.scores)


def _print(scored: Scored, printer: Printer) -> None:
    printer.heading(phrase("score-title", tank=scored.tank.name))
    for paragraph in score_sentences(scored.scores):
        printer.sentence(paragraph)
        printer.sentence("")
    for table in score_tables(scored.scores):
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    if scored.findings:
        printer.heading(phrase("reasons-title"))
        for finding in scored.findings:
            printer.item(finding_line(finding))


def exit_code(scores: Scores) -> int:
    """Whether most of the forecasts could be leaned on."""
    poor = sum(moment.health == "poor" for moment in scores.moments)
    return DO_NOT_LEAN_ON_IT if poor > MOSTLY * len(scores.moments) else FINE


def parsed_days(text: str | None) -> int | None:
    """Whole days as written on the command line: ``3`` or ``3 d``.

    Raises
    ------
    BadInput
        Where it is neither, or no day at all.
    """
    if text is None:
        return None
    found = re.fullmatch(r"\s*(\d{1,3})\s*(?:d|days?)?\s*", text)
    if not found or int(found[1]) < 1:
        raise BadInput([Finding("every-unreadable", "problem", {"every": repr(text)})])
    return int(found[1])
