"""Read glossary.md: tables whose first column is the name."""

from __future__ import annotations

from dataclasses import dataclass

from source_tree import ROOT

FILE = ROOT / "glossary.md"


@dataclass(frozen=True)
class Row:
    """One quantity: its name in the code, what it means, unit and sensible range."""

    name: str
    meaning: str
    unit: str
    range: str
    line: int


def read_rows(text: str) -> list[Row]:
    """Rows of four cells whose name is set as code."""
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.startswith("| `"):
            continue
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == len(("name", "meaning", "unit", "range")):
            name, meaning, unit, span = cells
            rows.append(Row(name.strip("`"), meaning, unit, span, number))
    return rows


def read_terms(text: str) -> dict[str, str]:
    """Words of our own and their meaning: rows of two cells."""
    terms = {}
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.startswith("| ") and len(cells) == len(("word", "meaning")):
            terms[cells[0]] = cells[1]
    return terms
