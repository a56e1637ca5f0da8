"""Print forecasts and lists: sentences, pictures, tables, then why."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from watervane.charts import Picture, WordTable
from watervane.cli.glyphs import glyphs_for
from watervane.cli.terminal_chart import chart_lines

MOST_COLUMNS = 100  # longer lines of prose are hard to read
INDENT = 2


class Printer:
    """Writes to stdout, asides to stderr; colour only where the terminal has it."""

    def __init__(self) -> None:
        self._out = Console(highlight=False, emoji=False, markup=False)
        self._err = Console(stderr=True, highlight=False, emoji=False, markup=False)
        self._width = min(self._out.width, MOST_COLUMNS)
        self._glyphs = glyphs_for(sys.stdout.encoding)

    def forecast(self, picture: Picture) -> None:
        """Sentences first, then the picture, the numbers, and why."""
        words = picture.words
        self.heading(words.title)
        for paragraph in words.summary:
            self.sentence(paragraph)
            self._out.print()
        for line in chart_lines(picture, self._width, self._glyphs):
            self._out.print(line, no_wrap=True, overflow="crop")
        for table in words.tables:
            self.table(table)
        if words.reasons:
            self.heading(words.reasons_title)
            for reason in words.reasons:
                self.item(reason)
            self._out.print()
        for caution in words.cautions:
            self.sentence(caution)

    def heading(self, text: str) -> None:
        """A line of its own in bold."""
        self._out.print(Text(text, style="bold"), width=self._width)
        self._out.print()

    def sentence(self, text: str) -> None:
        """A paragraph, wrapped at words."""
        self._out.print(Text(text), width=self._width)

    def item(self, text: str) -> None:
        """A list item with its own indent."""
        for index, line in enumerate(Text(text).wrap(self._out, self._width - INDENT)):
            lead = f"{self._glyphs.bullet} " if index == 0 else " " * INDENT
            self._out.print(Text(lead) + line)

    def entry(self, name: str, text: str) -> None:
        """A name in bold and what it stands for."""
        self._out.print(Text.assemble((name, "bold"), "  ", text), width=self._width)

    def aside(self, text: str) -> None:
        """Something on stderr, so that stdout stays the result alone."""
        self._err.print(Text(text), soft_wrap=True)

    def table(self, table: WordTable) -> None:
        """A table without boxes; headers break so that it fits 80 columns."""
        self.heading(table.title)
        for line in table_lines(table, self._width):
            self._out.print(Text(line), no_wrap=True, overflow="crop")
        self._out.print(Text(table.caption, style="dim"), width=self._width)
        self._out.print()


def table_lines(table: WordTable, width: int) -> list[str]:
    """The rows of a table as padded lines; a header is cut in two at its first space."""
    heads = [header.partition(" ") for header in table.headers]
    tall = len(table.headers) > 4
    first = [head[0] if tall else "".join(head) for head in heads]
    second = [head[2] if tall else "" for head in heads]
    columns = list(zip(first, second, *table.rows, strict=True))
    widths = [max(len(cell) for cell in column) for column in columns]
    gap = 3 if sum(widths) + 3 * (len(widths) - 1) <= width else 1
    heading = [first, second] if tall else [first]
    rule = ["-" * size for size in widths]
    rows: Sequence[Sequence[str]] = [*heading, rule, *table.rows]
    return [_padded(row, widths, gap) for row in rows]


def _padded(row: Sequence[str], widths: Sequence[int], gap: int) -> str:
    cells = (cell.ljust(size) for cell, size in zip(row, widths, strict=True))
    return (" " * gap).join(cells).rstrip()
