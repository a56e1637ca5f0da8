"""From the bytes of a table to its cells: encoding, separator, lines."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass
from pathlib import Path as FilePath

from watervane.exchange.problems import fail, shown
from watervane.exchange.source_text import MOST_MEGABYTES
from watervane.records import Finding

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
MOST_COLUMNS = 200
_LOOKED_AT = 50  # lines by which a separator is told
_BAD_DECODING = "\N{REPLACEMENT CHARACTER}"


@dataclass(frozen=True, slots=True)
class Row:
    """One row and the line it begins on, counted from 1."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TableText:
    """A table's header and rows; ``remarks`` say how it was read where that was not plain."""

    header: tuple[str, ...]
    rows: tuple[Row, ...]
    separator: str
    remarks: tuple[Finding, ...]


def read_table_text(path: FilePath) -> TableText:
    """Read a table of whatever separator and encoding.

    Raises
    ------
    TankFileErrors
        Where it cannot be read as a table.
    """
    if not path.is_file():
        fail("file-missing", file=shown(str(path)))
    try:
        raw = path.read_bytes()
    except OSError as error:
        fail("file-unreadable", why=shown(error.strerror or str(error)))
    if len(raw) > MOST_MEGABYTES * 1_000_000:
        fail("file-too-big", most_mb=MOST_MEGABYTES)
    text, remarks = decoded_table(raw)
    return table_from_text(text, remarks)


def decoded_table(raw: bytes) -> tuple[str, tuple[Finding, ...]]:
    """The text of a table: UTF-8, UTF-16 with its mark, else Windows-1252, which is said."""
    try:
        if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
            return raw.decode("utf-16"), (Finding("table-encoding", "info", {"name": "UTF-16"}),)
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        pass
    text = raw.decode("cp1252", errors="replace")
    if "\x00" in text or text.count(_BAD_DECODING) > len(text) / 100:
        fail("table-no-text")
    return text, (Finding("table-encoding", "caution", {"name": "Windows-1252"}),)


def table_from_text(text: str, remarks: tuple[Finding, ...] = ()) -> TableText:
    """Split a text into cells; raises `TankFileErrors`."""
    first, _, rest = text.partition("\n")
    skipped = 0
    if first.strip().lower().startswith("sep=") and len(first.strip()) == len("sep=;"):
        separator, text, skipped = first.strip()[-1], rest, 1  # some programs write it there
    else:
        separator = _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[Row] = []
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append(Row(line + skipped, tuple(cells)))
            line = reader.line_num + 1
    except csv.Error as error:
        fail("table-quotes", line=reader.line_num + skipped, said=shown(str(error)))
    if not rows:
        fail("table-empty")
    header, *others = rows
    if len(header.cells) > MOST_COLUMNS:
        fail("table-too-wide", line=header.line, most=MOST_COLUMNS)
    return TableText(header.cells, tuple(others), separator, remarks)


def _separator(text: str) -> str:
    """The separator that gives the first lines the most columns, alike in most of them."""
    best, most = ",", (0.0, 0)
    head = "\n".join(text.splitlines()[:_LOOKED_AT])
    for separator in SEPARATORS:
        try:
            rows = list(csv.reader(io.StringIO(head, newline=""), delimiter=separator))
        except csv.Error:
            continue
        widths = Counter(len(row) for row in rows if row)
        if not widths:
            continue
        header = len(next(row for row in rows if row))
        alike = widths[header] / sum(widths.values())
        if header > 1 and (alike, header) > most:
            best, most = separator, (alike, header)
    return best
