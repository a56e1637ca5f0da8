"""``watervane headroom``, ``challenge`` and ``fill``."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from watervane.app import (
    BadInput,
    ChallengeRequest,
    FillRequest,
    Grown,
    HeadroomRequest,
    Ports,
    grow,
)
from watervane.charts import WordTable
from watervane.cli.exit_codes import DO_NOT_LEAN_ON_IT, FINE
from watervane.cli.forecast import parsed_moment
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.cli.today import accepted_risk
from watervane.records import Challenge, Filling, Finding, Headroom, Person, Wish
from watervane.wording.challenge import challenge_sentences, challenge_tables, challenge_title
from watervane.wording.filling import filling_sentences, filling_table, filling_title
from watervane.wording.headroom import headroom_sentences, headroom_table, headroom_title
from watervane.wording.tables import NumberTable
from watervane.wording.templates import finding_line

WEEKS = (0, 1, 2, 4, 8, 13, 26, 52)
MOST_ANIMALS = 1000
_LENGTH = re.compile(r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>mm|cm|in)", re.ASCII)
_WISH = re.compile(r"\s*(?P<count>\d{1,6})\s*(?:x\s+)?(?P<name>\S.*?)\s*", re.ASCII)
_CM = {"mm": 0.1, "cm": 1.0, "in": 2.54}
Effort = tuple[int, int, int]


def run_headroom(
    file: Path,
    told: tuple[str | None, str | None, tuple[str, ...], str | None, int],
    effort: Effort,
    as_json: bool,
    ports: Ports,
    *,
    full: bool = False,
) -> int:
    """Work the headroom out and print it; returns the exit code."""
    species, length, risk, at, days = told
    weeks = tuple(week for week in WEEKS if 7 * week <= days)
    asked = None if length is None else parsed_length(length)
    if asked is not None and species is None:
        raise BadInput([Finding("headroom-length-alone", "problem", {})])
    members, seed, threads = effort
    allowed = accepted_risk(list(risk))
    request = HeadroomRequest(
        species, asked, allowed, parsed_moment(at), weeks, members, seed, threads
    )
    found = _grow(file, request, as_json, ports)
    headroom = found.told
    if not isinstance(headroom, Headroom):
        raise TypeError(headroom)
    if as_json:
        return _json(ports.growing.headroom_document(headroom), found)
    tables = [headroom_table(headroom)]
    return _print(found, headroom_title(headroom), headroom_sentences(headroom), tables, full=full)


def run_challenge(
    file: Path,
    told: tuple[str, float | None, str | None],
    effort: Effort,
    as_json: bool,
    ports: Ports,
    *,
    full: bool = False,
) -> int:
    """Plan a challenge test and print it; returns the exit code."""
    substance, dose, at = told
    request = ChallengeRequest(substance, dose, parsed_moment(at), *effort)
    found = _grow(file, request, as_json, ports)
    challenge = found.told
    if not isinstance(challenge, Challenge):
        raise TypeError(challenge)
    if as_json:
        return _json(ports.growing.challenge_document(challenge), found)
    tables = challenge_tables(challenge)
    return _print(
        found, challenge_title(challenge), challenge_sentences(challenge), tables, full=full
    )


def run_fill(
    file: Path,
    told: tuple[tuple[str, ...], int, int, tuple[str, ...], str | None],
    effort: Effort,
    as_json: bool,
    ports: Ports,
    *,
    full: bool = False,
) -> int:
    """Search the way to a full tank and print it; returns the exit code."""
    wishes, quarantine, days, risk, at = told
    if quarantine + 7 > days:
        given = {"days": days, "quarantine": quarantine}
        raise BadInput([Finding("fill-no-time", "problem", given)])
    allowed = accepted_risk(list(risk))
    request = FillRequest(
        parsed_wishes(wishes), quarantine, days, allowed, parsed_moment(at), *effort
    )
    found = _grow(file, request, as_json, ports)
    filling = found.told
    if not isinstance(filling, Filling):
        raise TypeError(filling)
    if as_json:
        return _json(ports.growing.filling_document(filling), found)
    table = filling_table(filling)
    tables = [] if table is None else [table]
    return _print(found, filling_title(filling), filling_sentences(filling), tables, full=full)


def parsed_wishes(texts: Sequence[str]) -> tuple[Wish, ...]:
    """Wishes as written: a number, a name, maybe a length.

    Raises
    ------
    BadInput
        With every one that cannot be read.
    """
    found: list[Wish] = []
    problems: list[Finding] = []
    for text in texts:
        length = _LENGTH.search(text)
        rest = text if length is None else text[: length.start()] + text[length.end() :]
        match = _WISH.fullmatch(rest)
        if match is None or not 1 <= int(match["count"]) <= MOST_ANIMALS:
            given: dict[str, object] = {"text": repr(text), "most": MOST_ANIMALS}
            problems.append(Finding("wish-unreadable", "problem", given))
            continue
        cm = None if length is None else parsed_length(length[0])
        found.append(Wish(match["name"], int(match["count"]), cm))
    if problems:
        raise BadInput(problems)
    return tuple(found)


def parsed_length(text: str) -> float:
    """A length in cm from ``4 cm``, ``35 mm``, ``1.5 in`` or a bare number.

    Raises
    ------
    BadInput
        If it cannot be read, or no animal has it.
    """
    match = _LENGTH.fullmatch(text.strip()) or re.fullmatch(
        r"(?P<value>\d+(?:[.,]\d+)?)(?P<unit>)", text.strip(), re.ASCII
    )
    value = None if match is None else float(match["value"].replace(",", "."))
    cm = None if match is None or value is None else value * _CM.get(match["unit"], 1.0)
    if cm is None or not 0.3 <= cm <= 100.0:
        raise BadInput([Finding("animal-length", "problem", {"text": repr(text)})])
    return cm


def _grow(
    file: Path,
    request: HeadroomRequest | ChallengeRequest | FillRequest,
    as_json: bool,
    ports: Ports,
) -> Grown:
    with shown_progress(silent=as_json) as progress:
        return grow(Person(), file, request, ports, progress)


NEVER_STARTED = "tank-never-started"  # it puts all that follows in another light


def _json(document: Mapping[str, Any], found: Grown) -> int:
    print(json.dumps(document, allow_nan=False, indent=1))
    return _code(found)


def _print(
    found: Grown,
    title: str,
    sentences: Sequence[str],
    tables: Sequence[NumberTable],
    *,
    full: bool,
) -> int:
    printer = Printer()
    printer.heading(title)
    told = found.told
    first = [finding for finding in told.findings if finding.key == NEVER_STARTED]
    for sentence in (*map(finding_line, first), *sentences):
        printer.sentence(sentence)
    for table in tables:
        printer.sentence("")
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    if not tables:
        printer.sentence("")
    printer.meaning()
    later = [finding for finding in told.findings if finding not in first]
    printer.remarks((*found.findings, *later, *told.diagnostics.findings), full=full)
    return _code(found)


def _code(found: Grown) -> int:
    return DO_NOT_LEAN_ON_IT if found.told.diagnostics.health == "poor" else FINE
