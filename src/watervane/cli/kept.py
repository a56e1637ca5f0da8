"""``watervane tank``, ``record``, ``correct``, ``undo``, ``backup``, ``restore``, ``look-over``."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time
from pathlib import Path

from watervane.app import (
    BadInput,
    KeptWrite,
    Line,
    Ports,
    add_tank,
    back_up,
    correct,
    edit_tank,
    examine,
    list_tanks,
    open_tank,
    photo_of,
    record,
    restore,
    undo,
)
from watervane.app.doubting import SURE, Doubted
from watervane.app.putting_away import tanks_put_away
from watervane.charts import WordTable
from watervane.cli.exit_codes import BAD_INPUT, FINE
from watervane.cli.printing import Printer
from watervane.records import Finding, Person
from watervane.wording import (
    entry_line,
    finding_line,
    kept_sentence,
    phrase,
    shown_sentence,
    tanks_table,
)

FILE_ENDINGS = (".toml", ".csv")
MANY = 5  # entries of one write that are listed before the rest is counted


def run_add(tank: str, words: tuple[str, ...], key: str | None, ports: Ports) -> int:
    """Add a tank and say so."""
    path = Path(tank)
    if path.suffix.lower() in FILE_ENDINGS or path.is_file():
        if not path.exists():
            raise BadInput([Finding("tank-file-missing", "problem", {"file": tank})])
        kept = add_tank(Person(), ports, source=path, words=words, request=key)
    else:
        kept = add_tank(Person(), ports, name=tank, words=words, request=key)
    printer = Printer()
    count = len(kept.receipt.entries) - 1
    printer.sentence(phrase("kept-tank", tank=kept.tank, count=count))
    _end(kept, printer)
    return FINE


def run_list(as_json: bool, ports: Ports) -> int:
    """List the tanks."""
    tanks = list_tanks(Person(), ports)
    if as_json:
        rows = [
            {
                "name": tank.name,
                "filled": tank.filled.isoformat(),
                "readings": tank.readings,
                "last_reading": tank.last_reading and tank.last_reading.isoformat(),
            }
            for tank in tanks
        ]
        print(json.dumps({"format": "watervane-tanks/1", "tanks": rows}, indent=1))
        return FINE
    printer = Printer()
    if tanks:
        table = tanks_table(tanks)
        printer.table(WordTable(table.title, table.caption, table.headers, table.rows))
    else:
        printer.sentence(phrase("tanks-none"))
    away = [tank.name for tank in tanks_put_away(Person(), ports)]
    if away:
        printer.sentence(phrase("tanks-away", names=", ".join(away)))
    return FINE


def run_show(name: str, newest: int, as_file: bool, ports: Ports) -> int:
    """Show one tank."""
    opened = open_tank(Person(), name, ports, newest)
    if as_file:
        print(ports.journal.tank_text(opened.tank), end="")
        return FINE
    printer = Printer()
    printer.heading(opened.tank.name)
    printer.sentence(shown_sentence(opened.tank))
    if not opened.entries:
        printer.sentence(phrase("tank-no-entries"))
        return FINE
    printer.sentence(phrase("tank-entries"))
    for entry in opened.entries:
        printer.item(entry_line(entry))
    return FINE


def run_edit(name: str, words: tuple[str, ...], key: str | None, ports: Ports) -> int:
    """Change a description and say so."""
    if not words:
        raise BadInput([Finding("describe-word", "problem", {"value": ""})])
    kept = edit_tank(Person(), name, words, ports, key)
    printer = Printer()
    printer.sentence(phrase("kept-edit", tank=kept.tank))
    _end(kept, printer)
    return FINE


def run_record(
    tank: str | None,
    told: tuple[str, tuple[str, ...]],
    at: str | None,
    photos: tuple[Path, ...],
    key: str | None,
    ports: Ports,
    *,
    sure: bool = False,
) -> int:
    """Write an entry and read it back to the keeper; what is doubtful is asked about first."""
    kind, words = told
    line = Line(kind, words, told_moment(at), photos)
    with _asked_on_the_line():
        return _print_entries(record(Person(), tank, line, ports, key, SURE if sure else ""))


def run_photo(number: int, file: Path, ports: Ports) -> int:
    """Write a photo to a new file."""
    photo = photo_of(Person(), number, ports)
    try:
        with file.open("xb") as opened:
            opened.write(photo.data)
    except FileExistsError:
        raise BadInput([Finding("photo-there", "problem", {"file": str(file)})]) from None
    except OSError:
        raise BadInput([Finding("photo-unwritten", "problem", {"file": str(file)})]) from None
    Printer().sentence(phrase("photo-written", number=str(number), file=str(file)))
    return FINE


def run_correct(
    number: int,
    words: tuple[str, ...],
    at: str | None,
    key: str | None,
    ports: Ports,
    *,
    sure: bool = False,
) -> int:
    """Correct an entry and read the new one back to the keeper."""
    moment, answered = told_moment(at), SURE if sure else ""
    with _asked_on_the_line():
        kept = correct(Person(), number, words, ports, at=moment, request=key, sure=answered)
    return _print_entries(kept)


@contextmanager
def _asked_on_the_line() -> Iterator[None]:
    """Questions with the option that answers them."""
    try:
        yield
    except Doubted as error:
        raise BadInput([*error.problems, Finding("doubt-say-so", "problem")]) from error


def run_undo(tank: str | None, entry: int | None, key: str | None, ports: Ports) -> int:
    """Undo, and say what."""
    kept = undo(Person(), ports, name=tank, number=entry, request=key)
    printer = Printer()
    for gone in kept.entries[:MANY]:
        printer.sentence(kept_sentence(kept.tank, gone, "kept-undone"))
    if len(kept.entries) > MANY:
        printer.sentence(phrase("kept-undone-more", count=len(kept.entries) - MANY))
    if not kept.entries and not kept.receipt.repeated:
        printer.sentence(phrase("kept-undone-description", tank=kept.tank))
    _end(kept, printer)
    return FINE


def run_backup(file: Path, ports: Ports) -> int:
    """Copy the journal and say what the copy holds."""
    copied = back_up(file, ports)
    told = {"tanks": copied.tanks, "entries": copied.entries}
    Printer().sentence(phrase("kept-copy", file=str(file), **told))
    return FINE


def run_restore(file: Path, over: bool, ports: Ports) -> int:
    """Put a copy in the journal's place and say what it holds."""
    copied = restore(file, ports, over=over)
    printer = Printer()
    told = {"tanks": copied.tanks, "entries": copied.entries}
    printer.sentence(phrase("kept-restored", **told))
    if copied.replaced is not None:
        printer.sentence(phrase("kept-replaced", file=str(copied.replaced)))
    return FINE


def run_look_over(ports: Ports) -> int:
    """Print what was found; the exit code tells of problems."""
    printer = Printer()
    findings = (*ports.journal.installation(), *examine(ports))
    for finding in findings:
        printer.item(finding_line(finding))
    if any(finding.severity == "problem" for finding in findings):
        return BAD_INPUT
    printer.sentence(phrase("look-over-fine"))
    return FINE


def told_moment(text: str | None) -> date | datetime | time | None:
    """A date, a moment or a time of day as written on the command line.

    Raises
    ------
    BadInput
        Where it is none of them.
    """
    if text is None:
        return None
    for form in (date.fromisoformat, datetime.fromisoformat, time.fromisoformat):
        try:
            return form(text.strip())
        except ValueError:
            continue
    raise BadInput([Finding("record-day", "problem", {"at": repr(text)})])


def _print_entries(kept: KeptWrite) -> int:
    printer = Printer()
    for entry in kept.entries:
        printer.sentence(kept_sentence(kept.tank, entry))
    _end(kept, printer)
    return FINE


def _end(kept: KeptWrite, printer: Printer) -> None:
    if kept.receipt.repeated:
        printer.sentence(phrase("kept-before"))
    for finding in kept.findings:
        printer.item(finding_line(finding))
