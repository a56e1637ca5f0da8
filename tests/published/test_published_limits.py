"""Every published level that the floor of limits touches, one row each, against our own.

As for chemistry: a row that agrees stays within its tolerance, a row that differs stays at the
value recorded beside it, so that a finding cannot quietly change.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from limit_quantities import QUANTITIES

from watervane.limits import (
    acute_criterion_epa2013,
    acute_criterion_trout_epa2013,
    chronic_criterion_epa2013,
)
from watervane.reference import sourced_functions, sources

HERE = Path(__file__).parent
COLUMNS = (
    *("id", "quantity", "inputs", "expected", "tolerance", "where", "status", "measured"),
    "note",
)


def table(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


FILES = sorted((HERE / "limits").glob("*.csv"))
ROWS = [(path.stem, row) for path in FILES for row in table(path)]


@pytest.mark.parametrize(
    "row", [row for _, row in ROWS], ids=[f"{source}-{row['id']}" for source, row in ROWS]
)
def test_published_level(row: dict[str, str]) -> None:
    assert tuple(row) == COLUMNS
    pairs = (item.split("=") for item in row["inputs"].split(";") if item)
    ours = float(QUANTITIES[row["quantity"]](**{name: _number(v) for name, v in pairs}))
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    within = abs(ours - expected) <= tolerance * (1.0 + 1e-9)
    if row["status"] == "agrees":
        assert within, f"{ours!r} against {expected} +- {tolerance} ({row['where']})"
        return
    assert row["status"] in {"differs", "misprint"}, row["status"]
    assert row["note"], "a finding needs its reason"
    assert not within, f"no longer differs: {ours!r} against {expected}"
    assert ours == pytest.approx(float(row["measured"]), rel=1e-5)


def test_every_quantity_is_used_and_every_file_named_after_a_source() -> None:
    assert {row["quantity"] for _, row in ROWS} == set(QUANTITIES)
    assert {path.stem for path in FILES} <= set(sources())


def test_every_sourced_formula_of_this_floor_is_among_them() -> None:
    marked = {
        entry.function
        for name, entry in sourced_functions().items()
        if name.startswith("watervane.limits.")
    }
    checked = {"acute_criterion_epa2013", "acute_criterion_trout_epa2013",
               "chronic_criterion_epa2013",
               "chronic_criterion_without_mussels_epa2013", "acute_ph_factor_epa2013",
               "highest_nitrite_bc", "mean_nitrite_bc", "nitrite_blocked_by_chloride"}  # fmt: skip
    assert {function.__name__ for function in marked} == checked


CRITERIA = table(HERE / "data" / "epa2013_ammonia_criteria" / "criteria_table.csv")
FORMULAS = {
    "salmonids_present": acute_criterion_trout_epa2013,
    "salmonids_absent": acute_criterion_epa2013,
    "all": chronic_criterion_epa2013,
}


@pytest.mark.parametrize(
    "row", CRITERIA, ids=[f"{r['type']}-{r['waters']}-{r['temp_C']}C-{r['pH']}" for r in CRITERIA]
)
def test_the_criteria_of_the_printed_tables(row: dict[str, str]) -> None:
    """Two significant figures, half a unit of the last."""
    ours = float(FORMULAS[row["waters"]](float(row["pH"]), float(row["temp_C"])))
    printed = Decimal(row["criterion_mg_TAN_N_L"])
    last = Decimal(1).scaleb(printed.adjusted() - 1)
    assert abs(ours - float(printed)) <= float(last) / 2.0


def test_all_rows_of_the_printed_tables_are_there() -> None:
    assert len(CRITERIA) == 54
