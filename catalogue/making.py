"""Reviews in, the shipped table and everything that is said of it out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from catalogue.crosschecks import Check, all_checks
from catalogue.merging import DATA, REVIEWS, Merged, Row, merge, read_review
from watervane.reference.catalogue_shipped import animal_of

# Too weak to judge a row by: its own page says that it is good for order alone.
NOT_JUDGING = ("order of two",)


@dataclass(frozen=True, slots=True)
class Made:
    """Both reviews, the merged rows, and what they were held against."""

    first: Sequence[Row]
    second: Sequence[Row]
    rows: tuple[Merged, ...]
    checks: tuple[Check, ...]


def make(first: Sequence[Row], second: Sequence[Row]) -> Made:
    """Merge two reviews, hold the rows against what else is known, grade them."""
    rows = merge(first, second)
    checks = tuple(all_checks([animal_of(row.cells) for row in rows]))
    doubted = {
        check.animal
        for check in checks
        if check.verdict == "differs" and not check.subject.endswith(NOT_JUDGING)
    }
    return Made(first, second, tuple(_graded(row, doubted) for row in rows), checks)


def made() -> Made:
    """The same of the reviews that are kept."""
    first, second = (read_review(DATA / name) for name in REVIEWS)
    return make(first, second)


def _graded(row: Merged, doubted: set[str]) -> Merged:
    if row.grade != "good" or row.cells["scientific_name"] not in doubted:
        return row
    return replace(row, grade="fair", cells={**row.cells, "grade": "fair"})
