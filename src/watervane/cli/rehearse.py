"""``watervane rehearse``."""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from watervane.app import BadInput, Ports, RehearsalRequest, Rehearsed, rehearse
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Finding, Mishap, Person
from watervane.wording import (
    mishap_words,
    phrase,
    rehearsal_sentences,
    rehearsal_table,
    rehearsal_title,
)

UNITS = {"h": " h", "d": " days", "g": " g", "L": " L", "animals": "", "percent": " %", "": ""}


# What keepers call a mishap.
MEANT = {
    **dict.fromkeys(("blackout", "outage", "power", "no-power"), "power-cut"),
    **dict.fromkeys(("holiday", "vacation", "away", "fasting", "not-fed"), "no-food"),
    **dict.fromkeys(("overfeeding", "overfed", "twice-fed"), "double-meals"),
    **dict.fromkeys(("sitter", "neighbour", "neighbor"), "neighbour-feeds"),
    **dict.fromkeys(("dead-fish", "death", "dead"), "animal-dies"),
    **dict.fromkeys(("fry", "babies", "breeding", "spawn"), "young-fish"),
    **dict.fromkeys(("newcomers", "more-fish", "new-animals", "stocking"), "more-animals"),
    **dict.fromkeys(("meds", "medication", "treatment"), "medicine"),
    **dict.fromkeys(("hot", "summer", "heat"), "heat-wave"),
    **dict.fromkeys(("heater-off", "cold"), "heater-stopped"),
    **dict.fromkeys(("filter-off", "pump-off"), "filter-stopped"),
    **dict.fromkeys(("filter-dry", "dried-out", "dry"), "filter-left-dry"),
    **dict.fromkeys(("filter-washed", "filter-cleaned", "tap"), "filter-under-tap"),
    **dict.fromkeys(("bigger-tank", "new-tank", "move", "moving"), "larger-tank"),
    **dict.fromkeys(("spill", "spilt", "food"), "food-spilt"),
}


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    what: tuple[str, ...]
    at: date | datetime | None
    days: int
    as_json: bool
    seed: int
    members: int
    threads: int
    full: bool = False


def run_rehearse(file: Path, wanted: Wanted, ports: Ports) -> int:
    """Rehearse and print; returns the exit code."""
    printer = Printer()
    if not wanted.what:
        _list_kinds(printer, ports)
        return FINE
    request = RehearsalRequest(
        mishaps=parsed_mishaps(wanted.what, ports),
        as_of=wanted.at,
        horizon_days=wanted.days,
        members=wanted.members,
        seed=wanted.seed,
        threads=wanted.threads,
    )
    with shown_progress(silent=wanted.as_json) as progress:
        found = rehearse(Person(), file, request, ports, progress)
    if wanted.as_json:
        document = ports.rehearsals_document(found.rehearsals)
        print(json.dumps(document, allow_nan=False, indent=1))
    else:
        _print(found, printer, full=wanted.full)
    poor = found.rehearsals.diagnostics.health == "poor"
    return DO_NOT_LEAN_ON_IT if poor else FINE


def _print(found: Rehearsed, printer: Printer, *, full: bool) -> None:
    printer.heading(rehearsal_title(found.rehearsals))
    for one in found.rehearsals.rehearsed:
        for sentence in rehearsal_sentences(one, found.rehearsals):
            printer.sentence(sentence)
        printer.sentence("")
        table = rehearsal_table(one, found.rehearsals.horizon_days, full=full)
        if table.rows:
            printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
        else:
            printer.sentence(phrase("rehearsal-same"))
            printer.sentence("")
    printer.meaning()
    printer.remarks(found.findings, full=full)


def _list_kinds(printer: Printer, ports: Ports) -> None:
    printer.sentence(phrase("rehearsal-kinds"))
    for name, kind in ports.mishap_kinds().items():
        what = mishap_words(Mishap(name, kind.usual))
        told = {"kind": name, "size": f"{kind.usual:g}", "unit": UNITS[kind.unit]}
        printer.item(phrase("rehearsal-kind", **told, what=what))


def parsed_mishaps(texts: Sequence[str], ports: Ports) -> tuple[Mishap, ...]:
    """Mishaps as written on the command line: ``power-cut`` or ``power-cut=8``.

    Raises
    ------
    BadInput
        With every one that cannot be read, or is out of range.
    """
    kinds = ports.mishap_kinds()
    found: list[Mishap] = []
    problems: list[Finding] = []
    for text in texts:
        name, _, written = text.partition("=")
        kind = kinds.get(name.strip())
        size = _number(written) if written else (kind.usual if kind else None)
        if kind is None or size is None:
            told: dict[str, object] = {"what": repr(text), "kinds": ", ".join(kinds)}
            near = None if kind is not None else _near(name, kinds)
            key = "mishap-unreadable" if near is None else "mishap-unreadable-near"
            problems.append(
                Finding(key, "problem", told if near is None else told | {"near": near})
            )
        elif not kind.least <= size <= kind.most:
            told = {"what": repr(text), "kind": name.strip(), "least": f"{kind.least:g}"}
            told |= {"most": f"{kind.most:g}", "unit": UNITS[kind.unit]}
            problems.append(Finding("mishap-size", "problem", told))
        else:
            found.append(Mishap(name.strip(), size))
    if problems:
        raise BadInput(problems)
    return tuple(found)


def _near(name: str, kinds: Iterable[str]) -> str | None:
    """The kind a keeper's own word stands for, or the one spelt most like it."""
    plain = name.strip().lower().replace("_", "-").replace(" ", "-")
    close = difflib.get_close_matches(plain, list(kinds), n=1, cutoff=0.65)
    return MEANT.get(plain) or (close[0] if close else None)


def _number(text: str) -> float | None:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return None
