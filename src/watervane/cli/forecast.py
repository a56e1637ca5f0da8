"""``watervane forecast``."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from watervane.app import BadInput, Foretold, Ports, Request, foretell, picture_of
from watervane.charts import ENDINGS, Picture
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Finding, Person
from watervane.wording import finding_line, phrase

DEEP_FIT_DISAGREES = "deep-fit-disagrees"


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    at: date | datetime | None
    days: int
    as_json: bool
    charts: tuple[Path, ...]
    seed: int
    members: int
    threads: int
    basis: str
    question: str | None = None
    deep: bool = False
    full: bool = False


def run_forecast(file: Path, wanted: Wanted, ports: Ports) -> int:
    """Foretell, print, draw; returns the exit code."""
    check_endings(wanted.charts)
    request = Request(
        as_of=wanted.at,
        horizon_days=wanted.days,
        members=wanted.members,
        seed=wanted.seed,
        threads=wanted.threads,
        question=wanted.question,
        deep=wanted.deep,
    )
    with shown_progress(silent=wanted.as_json) as progress:
        foretold = foretell(Person(), file, request, ports, progress)
        picture = picture_of(
            foretold.forecast, foretold.tank, basis=wanted.basis, findings=foretold.findings
        )
        if progress and wanted.charts:
            progress("draw", 0.95)
        write_pictures(picture, wanted.charts, ports)
    printer = Printer()
    if wanted.as_json:
        for finding in foretold.findings:
            if finding.severity != "info":
                printer.aside(finding_line(finding))
        document = ports.forecast_document(foretold.forecast)
        print(json.dumps(document, allow_nan=False, indent=1))
    elif wanted.full:
        printer.forecast(picture)
    else:
        printer.brief_forecast(picture)
        printer.item(phrase("forecast-more"))
    for path in wanted.charts:
        printer.aside(phrase("wrote", file=str(path)))
    return exit_code(foretold)


def exit_code(foretold: Foretold) -> int:
    """Whether the dates can be leaned on, and usual forecasts of this tank."""
    told = foretold.forecast.diagnostics
    apart = any(finding.key == DEEP_FIT_DISAGREES for finding in told.findings)
    return DO_NOT_LEAN_ON_IT if apart or told.health == "poor" else FINE


def check_endings(paths: Iterable[Path]) -> None:
    """Refuse unknown picture forms before any work is done.

    Raises
    ------
    BadInput
        Naming every wrong ending.
    """
    wrong = [path for path in paths if path.suffix.lower() not in ENDINGS]
    if wrong:
        raise BadInput([Finding("chart-ending", "problem", {"file": str(path)}) for path in wrong])


def write_pictures(picture: Picture, paths: Iterable[Path], ports: Ports) -> None:
    """Write every asked picture.

    Raises
    ------
    BadInput
        Where a file cannot be written.
    """
    written(paths, lambda path: ports.write_picture(picture, path))


def written(paths: Iterable[Path], write: Callable[[Path], None]) -> None:
    """Write every path.

    Raises
    ------
    BadInput
        Where a file cannot be written.
    """
    for path in paths:
        try:
            write(path)
        except OSError as error:
            told = {"file": str(path), "why": (error.strerror or "it failed").lower()}
            raise BadInput([Finding("chart-unwritable", "problem", told)]) from error


def parsed_moment(text: str | None) -> date | datetime | None:
    """A date or a moment as written on the command line.

    Raises
    ------
    BadInput
        Where it is neither.
    """
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        pass
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        finding = Finding("at-unreadable", "problem", {"at": repr(text)})
        raise BadInput([finding]) from None
