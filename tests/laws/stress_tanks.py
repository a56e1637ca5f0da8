"""Tanks at the edge of what a keeper can own, made of an ordinary one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from tank_runs import MEMBERS, Batch

from watervane.process.state import COLUMN

STRESSES = ("prior", "still", "aired", "violent", "overgrown", "unbuffered", "poisoned")
COLONIES = tuple(
    f"{guild}_oxidisers_{habitat}"
    for guild in ("ammonia", "nitrite")
    for habitat in ("bed", "filter", "surface")
)
_TRANSFER_PER_H = {"still": 0.05, "aired": 10.0, "violent": 60.0}


def stressed(batch: Batch, stress: str) -> Batch:
    """The batch under one stress, which it keeps in every member.

    ``overgrown`` starts with films about as full as they can get everywhere,
    ``unbuffered`` has and gets water of 0.06 dKH, ``poisoned`` gets 4 mg/L of free chlorine
    with every unconditioned litre.
    """
    made = replace(
        batch,
        theta={n: v.copy() for n, v in batch.theta.items()},
        geometry={n: v.copy() for n, v in batch.geometry.items()},
        source=batch.source.copy(),
        start=batch.start._replace(amounts=batch.start.amounts.copy()),
    )
    amounts = made.start.amounts
    if stress in _TRANSFER_PER_H:
        made.geometry["gas_transfer_per_h"][:] = _TRANSFER_PER_H[stress]
        made.theta["gas_transfer_multiplier"][:] = 1.0
    elif stress == "overgrown":
        for name in COLONIES:
            guild, _, habitat = name.split("_")
            area = made.geometry[f"{habitat}_area_m2"] * made.theta[f"{habitat}_area_multiplier"]
            full = area * made.theta[f"{guild}_oxidiser_density_mg_per_m2"]
            amounts[COLUMN[name]] = 0.8 * full / made.geometry["volume_l"]
    elif stress == "unbuffered":
        for water in (amounts, made.source):
            gone = water[COLUMN["alkalinity"]] - 0.02
            water[COLUMN["chloride"]] += gone
            water[COLUMN["alkalinity"]] -= gone
            water[COLUMN["inorganic_carbon"]] = 0.05
    elif stress == "poisoned":
        made.source[COLUMN["chlorine"]] = 4.0
        made.theta["chlorine_kill_l_per_mg_d"][:] = 48.0
    return made


def side_by_side(batch: Batch, stresses: tuple[str, ...]) -> tuple[Batch, NDArray[np.str_]]:
    """One batch whose members stand in turn under each stress, and which one each has."""
    labels = np.array([stresses[i % len(stresses)] for i in range(MEMBERS)])
    made = stressed(batch, "prior")
    for stress in set(stresses):
        lanes = labels == stress
        one = stressed(batch, stress)
        for mine, theirs in ((made.theta, one.theta), (made.geometry, one.geometry)):
            for name, values in theirs.items():
                mine[name][:, lanes] = values[:, lanes]
        made.source[..., lanes] = one.source[..., lanes]
        made.start.amounts[..., lanes] = one.start.amounts[..., lanes]
    return made, labels
