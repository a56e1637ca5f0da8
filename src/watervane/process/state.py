"""The state of a batch of tanks and what a row of the day program reports."""

from __future__ import annotations

from typing import NamedTuple

from watervane.process.arrays import Array
from watervane.process.matrix import tank_matrix

MATRIX = tank_matrix()
COMPONENTS = tuple(c.name for c in MATRIX.components)
COLUMN = {name: i for i, name in enumerate(COMPONENTS)}
WATER = tuple(c.name for c in MATRIX.components if c.phase == "water")

OUTPUTS = (
    "ammonia_mg_n_per_l",
    "nitrite_mg_n_per_l",
    "nitrate_mg_n_per_l",
    "free_ammonia_mg_n_per_l",
    "ph",
    "alkalinity_meq_per_l",
    "oxygen_mg_per_l",
    "temperature_c",
    "co2_mg_per_l",
    "minerals_mmol_per_l",
    "chlorine_mg_per_l",
    "chloride_mg_per_l",
    "ammonia_oxidisers_mg_per_l",
    "nitrite_oxidisers_mg_per_l",
    "volume_ratio",
)
OUTPUT = {name: i for i, name in enumerate(OUTPUTS)}


class TankState(NamedTuple):
    """Tanks by members, at one moment.

    Parameters
    ----------
    amounts
        Per litre of the full tank, shape (components, tanks, members).
    volume_ratio
        Water present over the full tank, shape (tanks, members). [-]
    temperature_c
        Shape (tanks, members). [degC]
    ph
        Of the last charge balance, shape (tanks, members).
    ammonia_wakefulness, nitrite_wakefulness
        Share of each guild awake, shape (tanks, members). [-]
    """

    amounts: Array
    volume_ratio: Array
    temperature_c: Array
    ph: Array
    ammonia_wakefulness: Array
    nitrite_wakefulness: Array


class RowReport(NamedTuple):
    """What the water was right after a row's actions, and its integral to the row's end.

    Parameters
    ----------
    outputs
        In the order of `OUTPUTS`, shape (outputs, tanks, members).
    integrals
        Of ammonia and nitrite over the row, shape (2, tanks, members). [mg N d/L]
    """

    outputs: Array
    integrals: Array
