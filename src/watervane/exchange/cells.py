"""Cells of a table that no spreadsheet takes for a formula, and the way back.

A cell that begins with one of a few signs is computed by spreadsheet programs, and may send what
stands beside it elsewhere. Such a sign gets an apostrophe before it, at the beginning of the cell
and wherever a program that takes another sign for the separator would begin one (OWASP, CSV
Injection). An apostrophe that stood there before gets one, too, so that the way back is exact.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

# The wide forms are turned into the narrow ones by some programs.
SIGNS = "=+\\-@\t\r\n\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}"
SIGNS += "\N{FULLWIDTH HYPHEN-MINUS}\N{FULLWIDTH COMMERCIAL AT}"
_BEGINS = r"(?:\A|(?<=[;,\t\r\n\"]))"
_PLAIN = re.compile(rf"{_BEGINS}(?=[{SIGNS}'])")
_MARKED = re.compile(rf"{_BEGINS}'(?=[{SIGNS}'])")
_FOREIGN = re.compile(rf"\A'(?=[{SIGNS}])")


def neutral(text: str) -> str:
    """A text as a cell that is not computed."""
    return _PLAIN.sub("'", text)


def told(cell: str) -> str:
    """The text that `neutral` made a cell of."""
    return _MARKED.sub("", cell)


def unmarked(cell: str) -> str:
    """A cell of a stranger's table, without the apostrophe that keeps it from being computed."""
    return _FOREIGN.sub("", cell)


def table_of(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Rows as the text of a table; every cell in quotes and none of them computed."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")  # RFC 4180
    writer.writerow([neutral(cell) for cell in header])
    writer.writerows([neutral(cell) for cell in row] for row in rows)
    return out.getvalue()
