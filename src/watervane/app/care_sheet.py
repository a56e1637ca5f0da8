"""The care of a year to print: what to do, days to tick off, and what stands behind it."""

from __future__ import annotations

from collections.abc import Iterable

from watervane.app.care_days import care_days
from watervane.records import Tank
from watervane.records.care import CareSchedule
from watervane.report import Block, Columns, Heading, Items, Paragraph, Sheet, Table
from watervane.wording import finding_text, phrase
from watervane.wording.audience import on_page
from watervane.wording.care import CarePart, care_parts, care_title, steady_table
from watervane.wording.care_due import care_line
from watervane.wording.dates import day_and_month, short_date

PRINTED_DAYS, COLUMNS = 30, 6  # more than half a year of weekly changes


def care_sheet(told: CareSchedule, tank: Tank | None = None) -> Sheet:
    """Set the care of a tank out for paper.

    Parameters
    ----------
    told
        As worked out.
    tank
        With its log: changes are counted on from the last one.

    Returns
    -------
    Sheet
        It names no command: whoever holds it may have no computer.
    """
    with on_page():
        whole = care_parts(told)
        first, *others = whole[0].sentences or (phrase("care-sheet-none"),)
        return Sheet(
            care_title(told), first, tuple(_blocks(told, tank, others, whole[1:])), foot=_foot(told)
        )


def _blocks(
    told: CareSchedule, tank: Tank | None, first: Iterable[str], parts: Iterable[CarePart]
) -> Iterable[Block]:
    for finding in told.findings:
        if finding.severity in ("problem", "caution"):
            yield Paragraph(finding_text(finding), "strong")
    yield from (Paragraph(each) for each in first)
    back = told.returning is not None and told.returning.steps
    for place, part in enumerate(parts):
        if place == (2 if back else 0):  # once the way back is behind, and what follows it is told
            yield from _days(told, tank)
        yield from _part(part)
    table = steady_table(told)
    yield Heading(table.title)
    yield Table(table.caption, table.headers, table.rows)


def _days(told: CareSchedule, tank: Tank | None) -> Iterable[Block]:
    """The changes of the routine, each with a box."""
    days = [each for each in care_days(told, tank, told.as_of) if each.kind == "change"]
    if days:
        yield Heading(phrase("care-sheet-days"))
        yield Paragraph(phrase("care-sheet-each", what=care_line(told, "change", "")))
        yield _ticked([short_date(each.day) for each in days[:PRINTED_DAYS]])
        yield Paragraph(phrase("care-sheet-days-note"), "faint")


def _part(part: CarePart) -> Iterable[Block]:
    if part.sentences or part.steps:
        yield Heading(part.title)
        yield from (Paragraph(each) for each in part.sentences)
        if part.steps:
            yield Items(part.steps, boxes=True)


def _ticked(lines: list[str]) -> Block:
    """Days side by side, each with a box."""
    rows = -(-len(lines) // COLUMNS)
    cut = (tuple(lines[k * rows : (k + 1) * rows]) for k in range(COLUMNS))
    return Columns(tuple((Items(each, boxes=True),) for each in cut if each))


def _foot(told: CareSchedule) -> str:
    return phrase(
        "care-sheet-foot", tank=told.tank, date=f"{day_and_month(told.as_of)} {told.as_of.year}"
    )
