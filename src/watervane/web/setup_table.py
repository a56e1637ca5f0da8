"""A table of readings on the page that sets up a tank: read, shown, and only then kept."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from watervane.app import BadInput, Ports
from watervane.app.setting_up import FromTable, look_at_table
from watervane.records import Finding, Habit, Note, TableRead, Tank
from watervane.web.forms import table as form
from watervane.web.forms.fields import Field
from watervane.web.sent import Sent
from watervane.wording import phrase
from watervane.wording.exchange import row_line

SHOWN_ROWS, MORE_ROWS, SHOWN_WRONGS = 5, 400, 40
Columns = Sequence[tuple[str, Field, Field]]


@dataclass(frozen=True, slots=True)
class TableSent:
    """A table as it came with a form."""

    text: str
    typed: Mapping[str, str] = field(default_factory=dict)
    problem: Finding | None = None

    @property
    def told(self) -> bool:
        """Whether there is any."""
        return bool(self.text.strip()) or self.problem is not None

    @property
    def seen(self) -> bool:
        """Whether the keeper saw what comes of just this text with just these meanings."""
        return self.typed.get(form.SEEN) == form.digest(self.text, form.words(self.typed))


@dataclass(frozen=True, slots=True)
class TableShown:
    """What was understood of a table, to be looked at before it is kept.

    ``seen`` names the text with its meanings, ``count`` is how many entries it would come to,
    ``first`` the first day it tells of. ``good`` tells that rows nobody understands are left out.
    ``more_rows`` stand behind a fold, ``unseen_rows`` are too many for it; ``noted`` tells that
    something is kept as a note.
    """

    columns: Columns = ()
    cells: Sequence[Field] = ()
    rows: Sequence[str] = ()
    more_rows: Sequence[str] = ()
    unseen_rows: int = 0
    noted: bool = False
    wrong: Sequence[Finding] = ()
    more_wrong: int = 0
    count: int = 0
    bad_rows: int = 0
    first: date | None = None
    good: bool = False
    seen: str = ""

    @property
    def unitless(self) -> Sequence[str]:
        """Meanings of which no unit is asked."""
        return form.UNITLESS

    @property
    def clear(self) -> bool:
        """Whether it can be kept as it is."""
        fields = [*(each for _, *both in self.columns for each in both), *self.cells]
        unclear = any(each.wrong for each in fields)
        return bool(self.count) and not unclear and (self.good or not self.wrong)

    @property
    def sentence(self) -> str:
        """What it would come to."""
        if not self.count:
            return phrase("setup-table-nothing")
        return phrase("setup-table-some" if self.bad_rows else "setup-table-all",
                      count=self.count, bad=self.bad_rows)  # fmt: skip


def table_sent(sent: Sent, ports: Ports, name: str = form.FILE) -> TableSent:
    """The text of an uploaded table, else that which was typed or sent back."""
    uploaded = sent.files.get(name, ())
    text = sent.typed.get(form.TEXT, "")
    if uploaded:
        try:
            text = ports.exchange.table_text_of(uploaded[0])
        except BadInput as error:
            return TableSent("", {}, error.problems[0])
    # As browsers send the text of a field back.
    text = text.replace("\r\n", "\n").replace("\r", "\n").lstrip("\n")
    if len(text) > form.LONGEST:
        most = f"{form.LONGEST:,}"
        return TableSent("", {}, Finding("setup-table-large", "problem", {"most": most}))
    return TableSent(text, {} if uploaded else sent.typed)


@contextmanager
def laid_down(table: TableSent) -> Iterator[FromTable]:
    """The table as a file for the time of a block."""
    with tempfile.TemporaryDirectory(prefix="watervane-table-") as folder:
        path = Path(folder, "table.csv")
        path.write_text(table.text, "utf-8", newline="")
        good = bool(table.typed.get(form.GOOD))
        yield FromTable(path, form.words(table.typed), good_rows=good)


def shown_table(table: TableSent, tank: Tank, ports: Ports) -> TableShown:
    """What would be kept of it in a tank of this description, and what is wrong with it."""
    if table.problem is not None:
        return TableShown(wrong=(table.problem,))
    try:
        with laid_down(table) as told:
            return _shown(table, look_at_table(tank, told, ports))
    except BadInput as error:
        return TableShown(cells=form.cell_fields(table.typed), wrong=error.problems)


def _shown(table: TableSent, read: TableRead) -> TableShown:
    columns: Columns = form.column_fields(read, table.typed)
    cells: Sequence[Field] = form.cell_fields(table.typed)
    seen = form.digest(table.text, form.words(form.as_sent(columns, cells)))
    columns, cells, wrong = form.with_wrongs(columns, cells, read.bad)
    rows = [row for row in read.rows if row.written]
    whats = [written.what for row in rows for written in row.written]
    happened = (what.template if isinstance(what, Habit) else what for what in whats)
    return TableShown(
        columns=columns,
        cells=cells,
        rows=[row_line(row) for row in rows[:SHOWN_ROWS]],
        more_rows=[row_line(row) for row in rows[SHOWN_ROWS:MORE_ROWS]],
        unseen_rows=max(len(rows) - MORE_ROWS, 0),
        noted=any(isinstance(what, Note) for what in whats),
        wrong=wrong[:SHOWN_WRONGS],
        more_wrong=max(len(wrong) - SHOWN_WRONGS, 0),
        count=len(whats),
        bad_rows=len({finding.line for finding in wrong}) if rows else 0,
        first=min((each.at.date() for each in happened), default=None),
        good=bool(table.typed.get(form.GOOD)),
        seen=seen,
    )
