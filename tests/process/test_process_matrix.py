"""The matrix: gaps filled by conservation, every row balanced, every wrong row refused."""

from __future__ import annotations

import csv
import io
from importlib import resources

import numpy as np
import pytest

from watervane.process.components import (
    CONSERVED,
    Component,
    ModelTableError,
    read_components,
    tank_components,
)
from watervane.process.matrix import Matrix, read_matrix, tank_matrix

FOLDER = resources.files("watervane.process").joinpath("data")
TEXT = FOLDER.joinpath("matrix.csv").read_text(encoding="utf-8")
NITROGEN, OXYGEN, HYDROGEN, CARBON, CHLORINE = 14.0067, 15.9994, 1.00794, 12.0107, 35.453
OXYGEN_MOLECULE = 31.9988

CLOSED = [
    name
    for name, kind in zip(tank_matrix().processes, tank_matrix().kinds, strict=True)
    if kind != "open"
]


def _edited(process: str, column: str, value: str) -> str:
    """The shipped matrix, solved, with one cell changed."""
    matrix = tank_matrix()
    out = io.StringIO()
    names = [c.name for c in matrix.components]
    writer = csv.writer(out)
    writer.writerow(["process", "kind", *names, "note"])
    for name, kind, row in zip(matrix.processes, matrix.kinds, matrix.coefficients, strict=True):
        cells = [repr(float(v)) for v in row]
        if name == process:
            cells[names.index(column)] = value
        writer.writerow([name, kind, *cells, ""])
    return out.getvalue()


def _line_of(process: str) -> int:
    return tank_matrix().process(process) + 2


@pytest.mark.parametrize("process", CLOSED)
def test_a_closed_row_conserves_nitrogen_charge_and_oxygen_demand(process: str) -> None:
    matrix = tank_matrix()
    terms = matrix.coefficients[matrix.process(process)][:, None] * matrix.content
    assert np.all(np.abs(terms.sum(axis=0)) <= 1e-12 * np.maximum(np.abs(terms).max(axis=0), 1e-9))


def test_only_the_exchange_with_the_air_and_what_is_injected_is_open() -> None:
    matrix = tank_matrix()
    opened = {p for p, k in zip(matrix.processes, matrix.kinds, strict=True) if k == "open"}
    assert opened == {"oxygen_transfer", "carbon_dioxide_transfer", "carbon_dioxide_injection"}
    instant = [k == "instant" for k in matrix.kinds]
    assert instant == sorted(instant), "instant rows come last"


def test_the_shipped_file_leaves_its_gaps_to_conservation() -> None:
    rows = list(csv.DictReader(io.StringIO(TEXT)))
    gaps = {row["process"]: sum(v == "?" for v in row.values()) for row in rows}
    assert gaps["growth_of_ammonia_oxidisers_bed"] == 3
    assert all(gaps[r["process"]] > 0 for r in rows if "growth" in r["process"])


def _content(name: str) -> tuple[float, float, float]:
    return next(c.content for c in tank_components() if c.name == name)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        # mg N counted as the ion: charge 1/14.0067 meq; electrons to the zero level of ammonium
        ("ammonia", (1.0, 1.0 / NITROGEN, 0.0)),
        ("nitrite", (1.0, -1.0 / NITROGEN, -1.5 * OXYGEN_MOLECULE / NITROGEN)),
        ("nitrate", (1.0, -1.0 / NITROGEN, -2.0 * OXYGEN_MOLECULE / NITROGEN)),
        ("dinitrogen", (1.0, 0.0, -0.75 * OXYGEN_MOLECULE / NITROGEN)),
        ("oxygen", (0.0, 0.0, -1.0)),
        ("alkalinity", (0.0, -1.0, 0.0)),
        ("calcium", (0.0, 2.0, 0.0)),
        # HOCl + 2 e: half an O2 a molecule, counted as 70.906 mg Cl2
        ("chlorine", (0.0, 0.0, -0.5 * OXYGEN_MOLECULE / (2 * CHLORINE))),
        ("chloramine", (NITROGEN / 70.906, 0.0, -0.5 * OXYGEN_MOLECULE / 70.906)),
    ],
)
def test_contents_follow_from_formulas(name: str, expected: tuple[float, float, float]) -> None:
    # The table prints nine digits and its own oxygen of 31.998.
    assert _content(name) == pytest.approx(expected, rel=2e-4, abs=1e-12)


def test_a_cell_holds_nitrogen_by_its_formula() -> None:
    # C5H7O2N: five O2 a formula unit, one nitrogen.
    assert _content("ammonia_oxidisers_bed")[0] == pytest.approx(
        NITROGEN / (5 * OXYGEN_MOLECULE), rel=1e-3
    )


@pytest.mark.parametrize("process", CLOSED)
def test_a_planted_wrong_coefficient_is_refused_by_name(process: str) -> None:
    matrix = tank_matrix()
    row = matrix.coefficients[matrix.process(process)]
    content = np.abs(matrix.content).sum(axis=1)
    column = int(np.argmax(np.abs(row) * content))
    name = matrix.components[column].name
    with pytest.raises(ModelTableError) as refused:
        read_matrix(_edited(process, name, repr(float(row[column]) * 1.000001)), matrix.components)
    assert f"matrix.csv line {_line_of(process)} ({process})" in str(refused.value)
    assert "is off by" in str(refused.value)


@pytest.mark.parametrize("value", ["nan", "inf", "-inf"])
def test_a_number_that_is_none_is_refused(value: str) -> None:
    components = tank_components()
    with pytest.raises(ModelTableError, match="decay_of_food"):
        read_matrix(_edited("decay_of_food", "ammonia", value), components)


SMALL = (
    Component("ammonia", "water", "mg N", (1.0, 1.0 / NITROGEN, 0.0)),
    Component("alkalinity", "water", "meq", (0.0, -1.0, 0.0)),
    Component("food", "settled", "mg N", (1.0, 0.0, 0.0)),
)


def _small(rows: str, header: str = "process,kind,ammonia,alkalinity,food") -> Matrix:
    return read_matrix(f"{header}\n{rows}", SMALL, where="small.csv")


def test_gaps_are_solved() -> None:
    matrix = _small("decay,closed,?,?,-1")
    assert matrix.coefficients[0] == pytest.approx([1.0, 1.0 / NITROGEN, -1.0])
    assert matrix.component("food") == 2
    assert matrix.process("decay") == 0


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ("decay,closed,1,,-1", r"small.csv line 2 \(decay\): charge is off"),
        ("decay,closed,?,?,?", r"line 2 \(decay\)"),
        ("decay,closed,one,?,-1", r"line 2 \(decay\): could not convert.*'one'"),
        ("decay,shut,?,?,-1", r"line 2 \(decay\): unknown kind 'shut'"),
        ("decay,closed,?,?,-1\ndecay,closed,?,?,-2", r"line 3 \(decay\): listed twice"),
        ("decay,closed,?", r"line 2 \(decay\): .*cells"),
        ("decay,closed,?,?,-1,,,", r"line 2 \(decay\): .*cells"),
    ],
)
def test_a_wrong_row_is_named_with_file_line_and_process(rows: str, message: str) -> None:
    with pytest.raises(ModelTableError, match=message):
        _small(rows)


def test_gaps_that_conservation_cannot_tell_apart_are_refused() -> None:
    twins = (*SMALL, Component("faeces", "settled", "mg N", (1.0, 0.0, 0.0)))
    with pytest.raises(ModelTableError, match="cannot tell its 2 gaps apart"):
        read_matrix(
            "process,kind,ammonia,alkalinity,food,faeces\nmoving,closed,,,?,?",
            twins,
            where="twins.csv",
        )


def test_columns_must_be_the_components() -> None:
    with pytest.raises(ModelTableError, match=r"small.csv: .*differ in fodder, food"):
        _small("decay,closed,?,?,-1", header="process,kind,ammonia,alkalinity,fodder")


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ("a,water,mg,1,0,0\na,water,mg,1,0,0", "line 3: 'a' is listed twice"),
        ("a,vapour,mg,1,0,0", "line 2: unknown phase 'vapour'"),
        ("a,water,mg,x,0,0", "line 2: could not convert"),
    ],
)
def test_a_wrong_component_is_named_with_its_line(rows: str, message: str) -> None:
    with pytest.raises(ModelTableError, match=message):
        read_components(f"component,phase,unit,{','.join(CONSERVED)}\n{rows}")
