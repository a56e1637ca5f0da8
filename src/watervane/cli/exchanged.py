"""``watervane export``, ``import``, ``merge``: call one use case and say what came of it."""

from __future__ import annotations

from pathlib import Path

from watervane.app import BadInput, Ports
from watervane.app.exchange_ports import TableWords
from watervane.app.exchanging import export_tank, merge_journal
from watervane.app.importing import Asked, Imported, import_file
from watervane.app.mirroring import Mirrored, mirror
from watervane.charts import WordTable
from watervane.cli.exit_codes import BAD_INPUT, FINE
from watervane.cli.printing import Printer
from watervane.records import Finding, Person, TableRead
from watervane.wording import finding_line, phrase
from watervane.wording.exchange import clash_sentence, columns_table, row_line

SHOWN_ROWS = 5
SHOWN_FINDINGS = 40
CHOICES = {
    "dates": ("iso", "day-first", "month-first"),
    "decimal": ("point", "comma"),
    "rest": ("note", "nothing"),
}


def run_export(name: str, target: Path, over: bool, ports: Ports) -> int:
    """Write a tank to a file and say what it holds."""
    done = export_tank(Person(), name, target, ports, over=over)
    printer = Printer()
    printer.sentence(phrase("exported", tank=done.tank, file=str(target), count=done.entries))
    for finding in done.left_out:
        printer.item(finding_line(finding))
    return FINE


def run_import(source: Path, asked: Asked, ports: Ports) -> int:
    """Take a file in, or show what would be taken in."""
    check_words(asked.words)
    done = import_file(Person(), source, asked, ports)
    printer = Printer()
    if done.table is not None and (done.preview or any(not c.told for c in done.table.columns)):
        _print_table(done.table, printer, rows=SHOWN_ROWS if done.preview else 0)
    if done.preview and done.table is not None and done.table.bad:
        printer.heading(phrase("import-bad-title", count=len(done.table.bad)))
        _print_findings(done.table.bad, printer)
    printer.sentence(_came_of(done))
    if done.joined is not None:
        for clash in done.joined.clashes:
            printer.item(clash_sentence(clash))
        if done.joined.twins:
            printer.item(phrase("joined-twins", count=done.joined.twins))
    _print_findings(done.findings, printer)
    would_fail = done.preview and done.table and done.table.bad and not asked.good_rows
    return BAD_INPUT if would_fail else FINE


def run_merge(other: Path, ports: Ports) -> int:
    """Join another journal and say what was new in it."""
    printer = Printer()
    for joined in merge_journal(Person(), other, ports):
        key = "joined-new" if joined.new_tank else "joined"
        told = {"tank": joined.name, "added": joined.added, "same": joined.same}
        printer.sentence(phrase(key, **told))
        if joined.twins:
            printer.item(phrase("joined-twins", count=joined.twins))
        for clash in joined.clashes:
            printer.item(clash_sentence(clash))
    return FINE


def run_mirror(folder: Path, ports: Ports) -> int:
    """Bring a folder and the journal into step, and say what went which way."""
    printer = Printer()
    done = mirror(Person(), folder, ports)
    if not done:
        printer.sentence(phrase("tanks-none"))
    for one in done:
        if one.tank:
            printer.sentence(mirrored_sentence(one))
        else:
            printer.sentence(phrase("mirror-left-alone", file=one.file))
        for clash in one.clashes:
            printer.item(clash_sentence(clash))
        _print_findings(one.findings, printer)
    bad = any(f.severity == "problem" for one in done for f in one.findings)
    return BAD_INPUT if bad else FINE


def mirrored_sentence(one: Mirrored) -> str:
    """What one tank and its file took from each other."""
    told = {"tank": one.tank, "file": one.file}
    if one.new_tank:
        return phrase("mirror-new-tank", **told, count=one.added)
    counts = {"added": one.added, "corrected": one.corrected, "undone": one.undone}
    parts = [phrase(f"mirror-{name}", count=count) for name, count in counts.items() if count]
    parts += [phrase("mirror-described")] if one.described else []
    parts += [phrase("mirror-file-written")] if one.written else []
    return phrase("mirrored", **told, what="; ".join(parts) or phrase("mirror-in-step"))


def check_words(words: TableWords) -> None:
    """Refuse a choice that there is not."""
    for name, choices in CHOICES.items():
        value = getattr(words, name)
        if value is not None and value not in choices:
            told = {"option": f"--{name}", "value": value, "known": choices}
            raise BadInput([Finding("import-choice", "problem", told)])


def _print_table(table: TableRead, printer: Printer, *, rows: int) -> None:
    if table.columns:
        told = columns_table(table)
        printer.table(WordTable(told.title, told.caption, told.headers, told.rows))
    if rows and table.rows:
        printer.heading(phrase("import-rows-title"))
        for row in table.rows[:rows]:
            printer.item(row_line(row))


def _came_of(done: Imported) -> str:
    key = "import-would" if done.preview else "imported"
    told = {"tank": done.tank, "added": done.added, "known": done.known}
    return phrase(f"{key}-new-tank" if done.new_tank else key, **told)


def _print_findings(findings: tuple[Finding, ...], printer: Printer) -> None:
    told = dict.fromkeys(finding_line(finding) for finding in findings)
    for line in list(told)[:SHOWN_FINDINGS]:
        printer.item(line)
    if len(told) > SHOWN_FINDINGS:
        printer.item(phrase("import-more", count=len(told) - SHOWN_FINDINGS))
