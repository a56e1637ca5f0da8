"""The one compiled program: a fixed number of rows over a block of members.

Rows, parameters and geometry come packed in one array each, so that a call costs
little and every tank, log and day runs through the same program.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import Array, jax, jnp, use_compilation_cache
from watervane.process.day_program import (
    ACTION_FIELDS,
    FORCING_FIELDS,
    HABITAT_FIELDS,
    VECTOR_FIELDS,
    Rows,
)
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.state import COMPONENTS, TankState
from watervane.process.tank_model import advance_row

GEOMETRY_NAMES = (
    "volume_l",
    "bed_area_m2",
    "filter_area_m2",
    "surface_area_m2",
    "filter_flow_l_per_d",
    "pressure_atm",
    "heater_power_w",
    "carbonate_dissolution_mmol_per_l_d",
    "heat_loss_w_per_k",
    "evaporation_l_per_d_per_kpa",
    "gas_transfer_per_h",
    "plant_ceiling_mg_n_per_l",
    "algal_ceiling_mg_n_per_l",
)
_SCALARS = (*ACTION_FIELDS, *FORCING_FIELDS)


def pack_rows(rows: Rows) -> NDArray[np.float64]:
    """Rows as one array, shape (rows, fields, tanks, 1)."""
    parts = [rows[name][:, None] for name in _SCALARS]
    parts += [rows[name] for name in (*VECTOR_FIELDS, *HABITAT_FIELDS)]
    return np.concatenate(parts, axis=1)


def _unpack_row(packed: Array) -> dict[str, Array]:
    row = {name: packed[i] for i, name in enumerate(_SCALARS)}
    place = len(_SCALARS)
    for names, width in ((VECTOR_FIELDS, len(COMPONENTS)), (HABITAT_FIELDS, 3)):
        for name in names:
            row[name] = packed[place : place + width]
            place += width
    return row


def pack_parameters(parameters: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    """Parameters as one array, shape (parameters, tanks, members).

    Raises
    ------
    KeyError
        If a parameter of the model is missing.
    """
    return np.stack([parameters[name] for name in PARAMETER_NAMES])


def pack_geometry(geometry: Mapping[str, float]) -> NDArray[np.float64]:
    """Geometry of one tank as one array, shape (names, 1, 1)."""
    return np.array([geometry[name] for name in GEOMETRY_NAMES])[:, None, None]


@partial(jax.jit, donate_argnums=())
def run_rows(
    state: TankState,
    packed_rows: Array,
    packed_parameters: Array,
    packed_geometry: Array,
    source: Array,
    food: Array,
    luck: Array,
) -> tuple[TankState, Array, Array]:
    """Run all rows of one call.

    Returns
    -------
    state, outputs, integrals
        Outputs have shape (rows, outputs, tanks, members); integrals of ammonia and
        nitrite over all rows, shape (2, tanks, members). [mg N d/L]
    """
    theta = {name: packed_parameters[i] for i, name in enumerate(PARAMETER_NAMES)}
    geometry = {name: packed_geometry[i] for i, name in enumerate(GEOMETRY_NAMES)}
    noise = {"food": food, "luck": luck}

    def body(carry: TankState, packed: Array) -> tuple[TankState, tuple[Array, Array]]:
        ended, report = advance_row(carry, _unpack_row(packed), theta, geometry, source, noise)
        return ended, (report.outputs, report.integrals)

    final, (outputs, integrals) = jax.lax.scan(body, state, packed_rows)
    return final, outputs, jnp.sum(integrals, axis=0)


use_compilation_cache()
