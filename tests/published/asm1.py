"""ASM1 in a stirred tank, driven through our matrix reader and our time step.

Rates: Henze et al. 1987 (IAWPRC Scientific and Technical Report 1); parameter values beside the
data. Inflow, outflow and aeration enter as processes that touch one component each.
"""

from __future__ import annotations

import csv
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import jax, jnp
from watervane.process.components import read_components
from watervane.process.integrate import ProcessSystem, extents_step
from watervane.process.matrix import read_matrix

DATA = Path(__file__).parent / "data"
MATRIX = read_matrix(
    (DATA / "asm1" / "matrix.csv").read_text(encoding="utf-8"),
    read_components((DATA / "asm1" / "components.csv").read_text(encoding="utf-8")),
)
STATES = tuple(c.name for c in MATRIX.components)
AT = {name: i for i, name in enumerate(STATES)}
FLOWS = tuple(f"flow_of_{name}" for name in STATES)
OXYGEN_SATURATION = 8.0


def rows_of(name: str) -> list[dict[str, str]]:
    """Rows of a data file."""
    with (DATA / name).open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


PARAMETERS = {
    row["parameter"]: float(row["value"])
    for row in rows_of("bsm1_openloop/asm1_parameters_15C.csv")
}
SYSTEM = ProcessSystem(
    processes=(*MATRIX.processes, *FLOWS, "aeration"),
    coefficients=np.vstack(
        [MATRIX.coefficients, np.eye(len(STATES)), np.eye(len(STATES))[AT["S_O"]]]
    ),
    controls={**{f: i for i, f in enumerate(FLOWS)}, "aeration": AT["S_O"]},
    solving_order=tuple(range(len(STATES))),
)


def state_of(row: dict[str, str], **names: str) -> NDArray[np.float64]:
    """A row as a state; what the row lacks is zero."""
    return np.array([float(row.get(names.get(s, s), 0.0)) for s in STATES])


def rates(state: Any) -> dict[str, Any]:
    """The eight rates of ASM1. [g/m3/d]"""
    c = {name: jnp.maximum(state[i], 0.0) for name, i in AT.items()}
    p = PARAMETERS
    food = c["S_S"] / (p["K_S"] + c["S_S"])
    oxic = c["S_O"] / (p["K_OH"] + c["S_O"])
    anoxic = p["K_OH"] / (p["K_OH"] + c["S_O"]) * c["S_NO"] / (p["K_NO"] + c["S_NO"])
    particles = c["X_S"] / jnp.maximum(c["X_BH"], 1e-12)
    hydrolysis = (
        p["k_h"] * particles / (p["K_X"] + particles) * (oxic + p["eta_h"] * anoxic) * c["X_BH"]
    )
    values = (
        p["mu_H"] * food * oxic * c["X_BH"],
        p["mu_H"] * food * anoxic * p["eta_g"] * c["X_BH"],
        p["mu_A"]
        * c["S_NH"]
        / (p["K_NH"] + c["S_NH"])
        * c["S_O"]
        / (p["K_OA"] + c["S_O"])
        * c["X_BA"],
        p["b_H"] * c["X_BH"],
        p["b_A"] * c["X_BA"],
        p["k_a"] * c["S_ND"] * c["X_BH"],
        hydrolysis,
        hydrolysis * c["X_ND"] / jnp.maximum(c["X_S"], 1e-12),
    )
    return dict(zip(MATRIX.processes, values, strict=True))


def all_rates(
    state: Any, feed: Any, dilution_per_d: float, kla_per_d: float
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Reaction, transport and aeration, with the slopes of the last two."""
    result = rates(state)
    slopes: dict[str, Any] = {}
    for i, flow in enumerate(FLOWS):
        result[flow] = dilution_per_d * (feed[i] - state[i])
        slopes[flow] = -dilution_per_d * jnp.ones_like(state[i])
    result["aeration"] = kla_per_d * (OXYGEN_SATURATION - state[AT["S_O"]])
    slopes["aeration"] = -kla_per_d * jnp.ones_like(state[0])
    return result, slopes


@partial(jax.jit, static_argnames=("samples", "between"))
def course(
    start: Any,
    feed: Any,
    dilution_per_d: Any,
    kla_per_d: Any,
    step_d: Any,
    samples: int,
    between: int,
) -> Any:
    """States at even times, shape (samples + 1, states), ``between`` steps apart."""

    def one(state: Any, _: None) -> tuple[Any, None]:
        evaluate = partial(all_rates, feed=feed, dilution_per_d=dilution_per_d, kla_per_d=kla_per_d)
        return extents_step(SYSTEM, state, step_d, evaluate)[0], None

    def sample(state: Any, _: None) -> tuple[Any, Any]:
        state, _ = jax.lax.scan(one, state, None, length=between)
        return state, state

    _, states = jax.lax.scan(sample, start, None, length=samples)
    return jnp.concatenate([start[None], states])
