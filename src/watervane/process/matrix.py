"""The Gujer (Petersen) matrix: processes by components, gaps solved by conservation."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from watervane.process.components import Component, ModelTableError, tank_components

KINDS = ("closed", "open", "instant")
BALANCE_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class Matrix:
    """Stoichiometry of a model.

    Parameters
    ----------
    components
        In the order of the columns.
    processes
        Names in the order of the rows; ``instant`` rows come last.
    kinds
        ``closed`` (balances), ``open`` (exchange with the surroundings) or
        ``instant`` (an algebraic neutralisation, closed too).
    coefficients
        Processes by components, component units per unit of extent.
    """

    components: tuple[Component, ...]
    processes: tuple[str, ...]
    kinds: tuple[str, ...]
    coefficients: NDArray[np.float64]

    def component(self, name: str) -> int:
        """Column of a component."""
        return [c.name for c in self.components].index(name)

    def process(self, name: str) -> int:
        """Row of a process."""
        return self.processes.index(name)

    @property
    def content(self) -> NDArray[np.float64]:
        """Components by conserved quantities (nitrogen, charge, oxygen demand)."""
        return np.array([c.content for c in self.components])


def read_matrix(
    text: str, components: tuple[Component, ...], *, where: str = "matrix.csv"
) -> Matrix:
    """Read a matrix and solve its gaps.

    A ``?`` marks a coefficient that conservation must give. Every closed row is
    checked to balance in nitrogen, charge and oxygen demand.

    Raises
    ------
    ModelTableError
        For unknown or missing columns, gaps that conservation leaves open, and
        rows that do not balance; the message names the process.
    """
    reader = csv.DictReader(io.StringIO(text))
    names = [c.name for c in components]
    columns = [f for f in reader.fieldnames or [] if f not in ("process", "kind", "note")]
    if columns != names:
        odd = sorted(set(columns) ^ set(names)) or ["their order"]
        raise ModelTableError(f"{where}: columns and components differ in {', '.join(odd)}")
    content = np.array([c.content for c in components])
    processes, kinds, rows = [], [], []
    for line, row in enumerate(reader, start=2):
        place = f"{where} line {line} ({row['process']})"
        if None in row or None in row.values():
            raise ModelTableError(f"{place}: its cells are more or fewer than the columns")
        if row["kind"] not in KINDS:
            raise ModelTableError(f"{place}: unknown kind '{row['kind']}'")
        if row["process"] in processes:
            raise ModelTableError(f"{place}: listed twice")
        coefficients = _solve_gaps([row[n] for n in names], content, place)
        if row["kind"] != "open":
            _check_balance(coefficients, content, place)
        processes.append(row["process"])
        kinds.append(row["kind"])
        rows.append(coefficients)
    return Matrix(components, tuple(processes), tuple(kinds), np.array(rows))


def _solve_gaps(cells: list[str], content: NDArray[np.float64], place: str) -> NDArray[np.float64]:
    gaps = [i for i, cell in enumerate(cells) if cell.strip() == "?"]
    try:
        known = np.array([0.0 if c.strip() in ("", "?") else float(c) for c in cells])
    except ValueError as error:
        raise ModelTableError(f"{place}: {error}") from None
    if not np.isfinite(known).all():
        raise ModelTableError(f"{place}: a coefficient is not a finite number")
    if not gaps:
        return known
    system = content[gaps].T
    if np.linalg.matrix_rank(system) < len(gaps):
        raise ModelTableError(f"{place}: conservation cannot tell its {len(gaps)} gaps apart")
    solution, *_ = np.linalg.lstsq(system, -content.T @ known, rcond=None)
    known[gaps] = solution
    return known


def _check_balance(
    coefficients: NDArray[np.float64], content: NDArray[np.float64], place: str
) -> None:
    terms = coefficients[:, None] * content
    scale = np.maximum(np.abs(terms).max(axis=0), 1e-12)
    for name, residual in zip(
        ("nitrogen", "charge", "oxygen demand"), np.abs(terms.sum(axis=0)) / scale, strict=True
    ):
        if residual > BALANCE_TOLERANCE:
            raise ModelTableError(f"{place}: {name} is off by {residual:.2e} of the largest term")


def tank_matrix() -> Matrix:
    """Return the matrix of the tank model."""
    data = resources.files("watervane.process").joinpath("data", "matrix.csv")
    return read_matrix(data.read_text(encoding="utf-8"), tank_components())
