"""The one compiled program: a fixed number of rows over a block of members.

Rows, parameters and geometry come packed in one array each, so that a call costs
little and every tank, log and day runs through the same program.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import Array, apart, jax, jnp, kernel
from watervane.process.daily_noise import DRIFTING, NOISE_NAMES
from watervane.process.day_program import (
    ACTION_FIELDS,
    FORCING_FIELDS,
    HABITAT_FIELDS,
    REPORTS_PER_CALL,
    VECTOR_FIELDS,
    Rows,
)
from watervane.process.parameters import PARAMETER_NAMES
from watervane.process.state import COMPONENTS, OUTPUTS, RowReport, TankState
from watervane.process.tank_model import Begun, Halfway, Site, begin_row, end_row, halfway, site_of

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


# A row in three kernels, the last two of one size: the compiler takes them to two cores.
@kernel
def _begun(
    state: TankState, packed_row: Array, site: Site, source: Array, noise: dict[str, Array]
) -> Begun:
    return begin_row(state, _unpack_row(packed_row), site, source, noise)


@kernel
def _halfway(begun: Begun, packed_row: Array, site: Site) -> Halfway:
    return halfway(begun, _unpack_row(packed_row), site)


@kernel
def _ended(
    begun: Begun, half: Halfway, packed_row: Array, site: Site
) -> tuple[TankState, RowReport]:
    return end_row(begun, half, _unpack_row(packed_row), site)


@apart()
def _made_ready(
    packed_parameters: Array, packed_geometry: Array, packed_noise: Array
) -> tuple[Site, dict[str, Array]]:
    """What all rows share. One kernel: each of its own would be compiled by itself."""
    noise = dict(zip(NOISE_NAMES, packed_noise, strict=True))
    theta = {name: packed_parameters[i] for i, name in enumerate(PARAMETER_NAMES)}
    for guild in DRIFTING:
        growth = f"{guild}_oxidiser_growth_per_d"
        theta[growth] = theta[growth] * noise[f"{guild}_drift"]
    return site_of(
        theta, {name: packed_geometry[i] for i, name in enumerate(GEOMETRY_NAMES)}
    ), noise


@jax.jit
def run_rows(
    state: TankState,
    packed_rows: Array,
    slots: Array,
    count: Array,
    packed_parameters: Array,
    packed_geometry: Array,
    source: Array,
    packed_noise: Array,
) -> tuple[TankState, Array, Array]:
    """Run the rows of one call.

    Parameters
    ----------
    state
        At the start of the first row.
    packed_rows
        See `pack_rows`.
    slots
        Place of each row's report; `REPORTS_PER_CALL` for rows nobody asks about.
    count
        Rows used; the others cost nothing.
    packed_parameters, packed_geometry
        See `pack_parameters`, `pack_geometry`.
    source
        See `process.actions.act`.
    packed_noise
        Of the day, in the order of `NOISE_NAMES`, shape (streams, tanks, members).

    Returns
    -------
    state, outputs, integrals
        Outputs have shape (reports, outputs, tanks, members); integrals of ammonia and
        nitrite over all rows, shape (2, tanks, members). [mg N d/L]
    """
    shape = state.amounts.shape[1:]
    site, noise = _made_ready(packed_parameters, packed_geometry, packed_noise)

    def body(i: Array, carry: tuple[TankState, Array, Array]) -> tuple[TankState, Array, Array]:
        before, outputs, integrals = carry
        row = jax.lax.dynamic_index_in_dim(packed_rows, i, keepdims=False)
        begun = _begun(before, row, site, source, noise)
        ended, report = _ended(begun, _halfway(begun, row, site), row, site)
        outputs = jax.lax.dynamic_update_index_in_dim(outputs, report.outputs, slots[i], 0)
        return ended, outputs, integrals + report.integrals

    start = (
        state,
        jnp.zeros((REPORTS_PER_CALL + 1, len(OUTPUTS), *shape)),
        jnp.zeros((2, *shape)),
    )
    final, outputs, integrals = jax.lax.fori_loop(0, count, body, start)
    return final, outputs, integrals
