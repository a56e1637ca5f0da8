"""A keeper's table, as it was understood column by column and row by row."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.records.findings import Finding
from watervane.records.journal import Written


@dataclass(frozen=True, slots=True)
class TakenColumn:
    """What one column of a table was taken for, in the words that would tell it so.

    ``told`` is false where it was guessed from the header.
    """

    header: str
    meaning: str
    told: bool


@dataclass(frozen=True, slots=True)
class TakenRow:
    """What one row of a table came to; ``row`` counts from the header, which is row 1."""

    row: int
    written: tuple[Written, ...]


@dataclass(frozen=True, slots=True)
class TableRead:
    """A whole table; ``bad`` has one finding for each cell that could not be understood."""

    columns: tuple[TakenColumn, ...]
    rows: tuple[TakenRow, ...]
    bad: tuple[Finding, ...]
    remarks: tuple[Finding, ...]
