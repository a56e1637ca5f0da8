"""Print forecasts and lists: sentences, pictures, tables, then why."""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Sequence
from dataclasses import replace

from rich.console import Console
from rich.text import Text

from watervane.charts import Picture, Words, WordTable
from watervane.cli.emblem import emblem_lines
from watervane.cli.glyphs import PLAIN, glyphs_for
from watervane.cli.terminal_chart import chart_lines, chief_panel
from watervane.records import Finding
from watervane.wording import finding_line, phrase
from watervane.wording.brief import brief_findings

MOST_COLUMNS = 100  # longer lines of prose are hard to read
INDENT = 2
LEAST_FIRST = 12  # columns of a table's first column that still hold a word
NUMBERED = re.compile(r"\d{1,2}\. ")
# Marks of print as a typewriter has them, for terminals that know only ASCII.
TYPEWRITER = str.maketrans({"\N{EN DASH}": "-", "\N{MINUS SIGN}": "-", "\N{MIDDLE DOT}": "|"})


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
        self.emblems(words)
        for table in words.tables:
            self.table(table)
        for title, lines in (
            (words.reasons_title, words.reasons),
            (words.limits_title, words.limits),
        ):
            if lines:
                self.heading(title)
                for told in lines:
                    self.item(told)
                self._out.print()
        for caution in words.cautions:
            self.sentence(caution)

    def brief_forecast(self, picture: Picture) -> None:
        """What a keeper needs first, on one or two screens."""
        words = picture.words
        self.heading(words.title)
        for paragraph in words.brief:
            self.sentence(paragraph)
            self._out.print()
        one = replace(picture, panels=(chief_panel(picture),))
        for line in chart_lines(one, self._width, self._glyphs):
            self._out.print(line, no_wrap=True, overflow="crop")
        for told in words.brief_reasons:
            self.item(told)
        for caution in words.cautions:
            self.item(caution)

    def emblems(self, words: Words) -> None:
        """The next seven days of every level that may be passed."""
        for emblem in words.emblems:
            self.heading(emblem.title)
            for line in emblem_lines(emblem, self._width, self._glyphs):
                self._out.print(Text(line), no_wrap=True, overflow="crop")
        if words.emblems:
            self.sentence(words.emblem_guide)
            self._out.print()

    def _said(self, text: str) -> str:
        return text.translate(TYPEWRITER) if self._glyphs is PLAIN else text

    def heading(self, text: str) -> None:
        """A line of its own in bold."""
        self._hanging(Text(self._said(text), style="bold"), "", "")
        self._out.print()

    def sentence(self, text: str) -> None:
        """A paragraph, wrapped at words; a numbered step hangs behind its number."""
        number = NUMBERED.match(text)
        first = number[0] if number else ""
        self._hanging(Text(self._said(text[len(first) :])), first, " " * len(first))

    def steps(self, sentences: Sequence[str]) -> None:
        """Numbered steps, and what there is to say of them apart from them."""
        before = ""
        for text in sentences:
            if NUMBERED.match(before) and not NUMBERED.match(text):
                self._out.print()
            self.sentence(text)
            before = text

    def item(self, text: str) -> None:
        """A list item with a hanging indent."""
        self._hanging(Text(self._said(text)), f"{self._glyphs.bullet} ", " " * INDENT)

    def meaning(self) -> None:
        """What imagined tanks are, where figures were counted in them."""
        self.sentence(phrase("imagined-meaning"))
        self.sentence("")

    def remarks(self, findings: Sequence[Finding], *, full: bool) -> None:
        """What else to know: each in full, or what was only assumed in one line."""
        for text in map(finding_line, findings) if full else brief_findings(findings):
            self.item(text)

    def entry(self, name: str, text: str) -> None:
        """A name in bold and what it stands for, later lines indented."""
        self._hanging(Text.assemble((name, "bold"), "  ", self._said(text)), "", " " * 2 * INDENT)

    def _hanging(self, text: Text, first: str, later: str) -> None:
        room = self._width - max(len(first), len(later))
        for index, line in enumerate(text.wrap(self._out, room)):
            line.rstrip()
            self._out.print(Text(later if index else first) + line)

    def aside(self, text: str) -> None:
        """Something on stderr, so that stdout stays the result alone."""
        self._err.print(Text(self._said(text)), soft_wrap=True)

    def table(self, table: WordTable) -> None:
        """A table without boxes; headers break so that it fits 80 columns."""
        self.heading(table.title)
        for line in table_lines(table, self._width):
            self._out.print(Text(self._said(line)), no_wrap=True, overflow="crop")
        self._hanging(Text(self._said(table.caption), style="dim"), "", "")
        self._out.print()


def table_lines(table: WordTable, width: int) -> list[str]:
    """The rows of a table as padded lines, no longer than ``width`` where it can be helped.

    A wide table cuts its headers in two at their first space, and wraps its first column; one
    that is still too wide comes in parts, each with the first column.
    """
    tall = len(table.headers) > 4
    heads = [header.partition(" ") if tall else (header, "", "") for header in table.headers]
    rows = [[head[0] for head in heads], [head[2] for head in heads]][: 2 if tall else 1]
    wrapped = _first_wrapped(table.rows, rows, width)
    columns = [list(column) for column in zip(*rows, *wrapped, strict=True)]
    for column in columns:
        column.insert(len(rows), "-" * max(len(cell) for cell in column))
    lines: list[str] = []
    for part in _parts(columns, width):
        gap = 3 if _total(part, 3) <= width else 1
        lines += [*([""] if lines else []), *_joined(part, gap)]
    return lines


def _first_wrapped(
    rows: Sequence[Sequence[str]], heads: Sequence[Sequence[str]], width: int
) -> list[Sequence[str]]:
    """Rows whose first cell is wrapped into as many lines as the other columns leave room for."""
    sizes = [max(map(len, column)) for column in zip(*heads, *rows, strict=True)]
    if sum(sizes) + len(sizes) - 1 <= width:
        return list(rows)
    rooms = range(
        LEAST_FIRST, max(LEAST_FIRST, min(sizes[0], width - max(sizes[1:], default=0) - 1)) + 1
    )
    room = min(rooms, key=lambda room: (_count([room, *sizes[1:]], width), -room))
    found: list[Sequence[str]] = []
    for first, *rest in rows:
        lines = textwrap.wrap(first, room, subsequent_indent=" ") or [""]
        found.append([lines[0], *rest])
        found += [[line, *("" for _ in rest)] for line in lines[1:]]
    return found


def _count(sizes: Sequence[int], width: int) -> int:
    """Into how many parts a table of columns so wide comes."""
    first, *rest = sizes
    parts, used, held = 1, first, 0
    for size in rest:
        if held and used + 1 + size > width:
            parts, used, held = parts + 1, first, 0
        used, held = used + 1 + size, held + 1
    return parts


def _parts(columns: list[list[str]], width: int) -> list[list[list[str]]]:
    first, *rest = columns
    parts = [[first]]
    for column in rest:
        if len(parts[-1]) > 1 and _total([*parts[-1], column], 1) > width:
            parts.append([first])
        parts[-1].append(column)
    return parts


def _total(columns: list[list[str]], gap: int) -> int:
    return sum(max(map(len, column)) for column in columns) + gap * (len(columns) - 1)


def _joined(columns: list[list[str]], gap: int) -> list[str]:
    widths = [max(map(len, column)) for column in columns]
    return [_padded(row, widths, gap) for row in zip(*columns, strict=True)]


def _padded(row: Sequence[str], widths: Sequence[int], gap: int) -> str:
    cells = (cell.ljust(size) for cell, size in zip(row, widths, strict=True))
    return (" " * gap).join(cells).rstrip()
