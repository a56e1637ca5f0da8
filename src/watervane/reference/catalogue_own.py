"""A keeper's own rows: they shadow ours, cell by cell."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from watervane.reference.animals import KEEPER, OwnRow
from watervane.reference.catalogue import shipped_names
from watervane.reference.catalogue_animal import CatalogueAnimal
from watervane.reference.catalogue_cells import CellProblem, cell_problems
from watervane.reference.catalogue_shipped import animal_of
from watervane.reference.catalogue_words import ANIMAL_COLUMNS, NEEDED, UNKNOWN
from watervane.reference.names import plain_name

OWN_COLUMNS = (*ANIMAL_COLUMNS, "note")
# fields that do not come from one column of a keeper's table
_NOT_TOLD = {"grade", "differs", "source", "quality"}


def read_own_rows(
    header: Sequence[str], rows: Sequence[tuple[int, Sequence[str]]]
) -> tuple[tuple[CatalogueAnimal, ...], tuple[CellProblem, ...]]:
    """The animals of a keeper's table, and everything that is wrong with it.

    A row of an animal of ours need only tell what differs; of a new one, its kind and form too.
    A range that is told in part keeps our other end.

    Parameters
    ----------
    header : sequence of str
        Column names, those of `OWN_COLUMNS` in any order; only ``scientific_name`` must be there.
    rows : sequence of (int, sequence of str)
        Lines and their cells.
    """
    columns = [name.strip().lower() for name in header]
    problems = list(_header_problems(columns))
    if problems:
        return (), tuple(problems)
    found: list[CatalogueAnimal] = []
    seen: dict[str, int] = {}
    for line, cells in rows:
        if len(cells) != len(columns):
            problems.append(CellProblem(line, "", str(len(cells)), "cells", (str(len(columns)),)))
            continue
        told = {c: cell.strip() for c, cell in zip(columns, cells, strict=True) if cell.strip()}
        ours = shipped_names().get(plain_name(told.get("scientific_name", "")))
        wrong = list(_row_problems(told, ours, line))
        typed = told.get("scientific_name", "")
        name = plain_name(typed if ours is None else ours.scientific_name)
        if name in seen:
            wrong.append(CellProblem(line, "scientific_name", typed, "twice", (str(seen[name]),)))
        seen.setdefault(name, line)
        problems += wrong
        if not wrong:
            found.append(_own(told, ours))
    return tuple(found), tuple(problems)


def own_catalogued(rows: Iterable[OwnRow]) -> tuple[CatalogueAnimal, ...]:
    """Rows of a tank file, which were judged when it was read, as animals of the catalogue."""
    found = []
    for row in rows:
        ours = shipped_names().get(plain_name(row.name))
        name = row.name if ours is None else ours.scientific_name
        found.append(_own({"scientific_name": name, **row.cells}, ours))
    return tuple(found)


def row_of(animal: CatalogueAnimal) -> dict[str, str]:
    """The cells of an animal, as a keeper may change them."""
    ends = {
        ("temperature_low_c", "temperature_high_c"): animal.temperature_c,
        ("ph_low", "ph_high"): animal.ph,
        ("gh_low_dgh", "gh_high_dgh"): animal.gh_dgh,
        ("kh_low_dkh", "kh_high_dkh"): animal.kh_dkh,
        ("protein_low", "protein_high"): animal.protein_g_per_g,
        ("adult_low_cm", "adult_high_cm"): animal.adult_length_cm,
    }
    cells: dict[str, object] = {
        "adult_cm": animal.typical_length_cm,
        "group_min": animal.least_group,
        "zone": animal.zones,
    }
    for (low, high), span in ends.items():
        cells |= {low: span and span.low, high: span and span.high}
    for column in OWN_COLUMNS:
        cells.setdefault(column, getattr(animal, column, None))
    return {column: _cell(cells[column]) for column in OWN_COLUMNS}


def _header_problems(columns: Sequence[str]) -> Iterator[CellProblem]:
    for name in columns:
        if name not in OWN_COLUMNS:
            yield CellProblem(1, name, name, "columns", OWN_COLUMNS)
        elif columns.count(name) > 1:
            yield CellProblem(1, name, name, "columns", OWN_COLUMNS)
            return
    if "scientific_name" not in columns:
        yield CellProblem(1, "scientific_name", "", "missing")


def _row_problems(
    told: Mapping[str, str], ours: CatalogueAnimal | None, line: int
) -> Iterator[CellProblem]:
    known = {} if ours is None else {c: cell for c, cell in row_of(ours).items() if cell}
    whole = {**known, **told}
    for problem in cell_problems(whole, line):
        if problem.column in told or problem.column in NEEDED or problem.key in {"half", "order"}:
            yield problem


def _own(told: Mapping[str, str], ours: CatalogueAnimal | None) -> CatalogueAnimal:
    known = {} if ours is None else {c: cell for c, cell in row_of(ours).items() if cell}
    mine = animal_of({**known, **told})
    mine = replace(mine, grade="yours", source=KEEPER, quality=KEEPER, differs=tuple(told))
    if ours is None:
        return mine
    kept: dict[str, Any] = {"scientific_name": ours.scientific_name}
    for field in fields(CatalogueAnimal):
        if field.name.startswith("widest_"):
            kept[field.name] = None if _told_range(field.name, told) else getattr(ours, field.name)
        elif field.name not in _NOT_TOLD and getattr(mine, field.name) in (None, UNKNOWN, ()):
            kept[field.name] = getattr(ours, field.name)
    return replace(mine, **kept)


def _told_range(widest: str, told: Mapping[str, str]) -> bool:
    """Whether the keeper tells an end of the range that a widest range is of."""
    stem = widest.removeprefix("widest_").partition("_")[0]
    return any(column.startswith(f"{stem}_") for column in told)


def _cell(value: object) -> str:
    if value is None or value in (UNKNOWN, ()):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:g}"
    return ";".join(value) if isinstance(value, tuple) else str(value)
