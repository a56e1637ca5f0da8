"""What was taken in from elsewhere, in a few words each."""

from __future__ import annotations

from watervane.records import Clash, Habit, TableRead, TakenRow
from watervane.wording.dates import weekday_date
from watervane.wording.journal import entry_label
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

_MOST = 4  # columns of a row that are spelled out


def columns_table(table: TableRead) -> NumberTable:
    """What each column of a keeper's table was taken for."""
    rows = tuple(
        (
            column.header,
            column.meaning,
            phrase("column-told" if column.told else "column-guessed"),
        )
        for column in table.columns
    )
    headers = ("column", "taken for", "because")
    return NumberTable(phrase("columns-title"), phrase("columns-caption"), headers, rows)


def row_line(row: TakenRow) -> str:
    """One row as it was understood."""
    if not row.written:
        return phrase("row-empty", row=str(row.row))
    first = row.written[0].what
    happened = first.template if isinstance(first, Habit) else first
    clock = f" {happened.at:%H:%M}" if happened.hour_known else ""
    whats = [entry_label(written.what) for written in row.written]
    more = [phrase("row-more", count=len(whats) - _MOST)] if len(whats) > _MOST else []
    return phrase(
        "row-told",
        row=str(row.row),
        date=f"{weekday_date(happened.at)} {happened.at.year}{clock}",
        what="; ".join([*whats[:_MOST], *more]),
    )


def clash_sentence(clash: Clash) -> str:
    """What two journals, or a journal and a file, say differently."""
    told = {"standing": clash.standing, "other": clash.other}
    if clash.entry is not None:
        told |= {
            "standing": entry_label(clash.entry.what),
            "number": str(clash.entry.number),
        }
    return phrase(f"clash-{clash.kind}", **told)
