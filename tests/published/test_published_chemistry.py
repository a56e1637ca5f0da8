"""Every published number that chemistry touches, one row each, against our own.

A row that agrees stays within its tolerance. A row that differs, and a misprint, must stay
*outside* it and at the value recorded beside it, so that a finding cannot quietly change.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from chemistry_quantities import QUANTITIES

HERE = Path(__file__).parent
COLUMNS = (
    "id",
    "quantity",
    "inputs",
    "expected",
    "tolerance",
    "where",
    "status",
    "measured",
    "note",
)


def _rows() -> list[tuple[str, dict[str, str]]]:
    found = []
    for path in sorted((HERE / "chemistry").glob("*.csv")):
        with path.open(newline="", encoding="utf-8") as handle:
            reader = csv.DictReader(handle)
            assert tuple(reader.fieldnames or ()) == COLUMNS, path.name
            found += [(path.stem, row) for row in reader]
    return found


def _inputs(text: str) -> dict[str, float | str]:
    pairs = (item.split("=") for item in text.split(";"))
    return {name: _number(value) for name, value in pairs}


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


ROWS = _rows()


@pytest.mark.parametrize(
    "row",
    [row for _, row in ROWS],
    ids=[f"{source}-{row['id']}" for source, row in ROWS],
)
def test_published_number(row: dict[str, str]) -> None:
    ours = float(QUANTITIES[row["quantity"]](**_inputs(row["inputs"])))
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    # A hair for the binary image of decimal digits, far below any printed digit.
    within = abs(ours - expected) <= tolerance * (1.0 + 1e-9)
    if row["status"] == "agrees":
        assert within, f"{ours!r} against {expected} +- {tolerance} ({row['where']})"
        return
    assert row["status"] in ("differs", "misprint"), row["status"]
    assert row["note"], "a finding needs its reason"
    assert not within, f"no longer {row['status']}: {ours!r} against {expected}"
    assert ours == pytest.approx(float(row["measured"]), rel=1e-5)


def test_every_quantity_is_used() -> None:
    assert {row["quantity"] for _, row in ROWS} == set(QUANTITIES)


def test_ids_are_unique() -> None:
    ids = [(source, row["id"]) for source, row in ROWS]
    assert len(ids) == len(set(ids))
