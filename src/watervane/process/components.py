"""Components of the process model: what each is made of, read from a table."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from importlib import resources

CONSERVED = ("nitrogen_mg", "charge_meq", "oxygen_demand_mg")
PHASES = ("water", "settled", "body", "plants", "colony", "record")


class ModelTableError(ValueError):
    """A table of the process model is wrong; the message names file and row."""


@dataclass(frozen=True, slots=True)
class Component:
    """One state of the model, per litre of the full tank.

    Parameters
    ----------
    name
        Key of the component.
    phase
        ``water`` leaves with a water change, ``settled`` lies in the bed, ``body``
        sits in animals, ``plants``, ``colony``, or ``record`` (only counted).
    unit
        Unit of the amount, per litre of the full tank.
    content
        Nitrogen [mg], charge [meq] and oxygen demand [mg] in one unit.
    """

    name: str
    phase: str
    unit: str
    content: tuple[float, float, float]


def read_components(text: str, *, where: str = "components.csv") -> tuple[Component, ...]:
    """Read a component table.

    Raises
    ------
    ModelTableError
        On an unknown phase, a repeated name or a number that cannot be read.
    """
    components: list[Component] = []
    for row_number, row in enumerate(csv.DictReader(io.StringIO(text)), start=2):
        name, phase = row["component"], row["phase"]
        if phase not in PHASES:
            raise ModelTableError(f"{where} line {row_number}: unknown phase '{phase}'")
        if any(c.name == name for c in components):
            raise ModelTableError(f"{where} line {row_number}: '{name}' is listed twice")
        try:
            nitrogen, charge, oxygen_demand = (float(row[key]) for key in CONSERVED)
        except ValueError as error:
            raise ModelTableError(f"{where} line {row_number}: {error}") from None
        components.append(Component(name, phase, row["unit"], (nitrogen, charge, oxygen_demand)))
    return tuple(components)


def tank_components() -> tuple[Component, ...]:
    """Return the components of the tank model, in the order of its state."""
    data = resources.files("watervane.process").joinpath("data", "components.csv")
    return read_components(data.read_text(encoding="utf-8"))
