"""Read a keeper's own table of animals, each mistake with its line and column."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from watervane.exchange.csv_text import read_table_text
from watervane.exchange.problems import TankFileErrors, nearest, shown
from watervane.exchange.tank_reader import read_tank_file
from watervane.records import Finding, OwnAnimal
from watervane.reference import CatalogueAnimal, CellProblem, own_catalogued, read_own_rows, row_of
from watervane.reference.catalogue_own import OWN_COLUMNS


def read_own_animals(file: Path) -> tuple[tuple[CatalogueAnimal, ...], tuple[Finding, ...]]:
    """The animals of a table, or of a tank file, and how it was read where that was not plain.

    Raises
    ------
    TankFileErrors
        With every cell that cannot stand.
    """
    if file.suffix.lower() == ".toml":
        return own_catalogued(read_tank_file(file).own_animals), ()
    table = read_table_text(file)
    rows = [(row.line, row.cells) for row in table.rows]
    animals, problems = read_own_rows(table.header, rows)
    if problems:
        raise TankFileErrors([_finding(problem) for problem in problems])
    return animals, table.remarks


def own_rows(animals: Sequence[CatalogueAnimal]) -> tuple[OwnAnimal, ...]:
    """The same animals as a tank file has them."""
    return tuple(
        OwnAnimal(each.scientific_name, {c: cell for c, cell in row_of(each).items() if cell})
        for each in animals
    )


def own_row_text(animal: CatalogueAnimal) -> str:
    """A table of one animal that a keeper may change and name as their own."""
    out = io.StringIO()
    writer = csv.DictWriter(out, OWN_COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerow(row_of(animal))
    return out.getvalue()


def _finding(problem: CellProblem) -> Finding:
    told: dict[str, object] = {"value": shown(problem.typed), "known": list(problem.allowed)}
    if problem.column:
        told["table_column"] = problem.column
    key = f"animal-cell-{problem.key}"
    if problem.key in {"word", "columns"}:
        near = nearest(problem.typed, problem.allowed)
        if near:
            told["near"] = near
            key = f"{key}-near"
    return Finding(key, "problem", told, problem.line)
