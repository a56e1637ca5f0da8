"""Nitrate kits reduce nitrate to nitrite first, so nitrite lifts what they show.

Where all nitrate is reduced, each nitrite counts as one nitrate. A reducer of low yield makes
a nitrite count for more than one, a reagent that destroys nitrite first for less. What this
kit does is one unknown, shared by all its readings. A probe answers to nitrate alone.
"""

from __future__ import annotations

import numpy as np

from watervane.kits.face import Array
from watervane.kits.sizes import log_sd
from watervane.reference import value

LIFTED = "nitrate"


def lift_name(kit: str | None) -> str:
    """Name of the unknown of a kit."""
    return f"nitrite lift {kit}"


def nitrite_lift(z: Array) -> Array:
    """Nitrate shown for each nitrite, N per N.

    Parameters
    ----------
    z
        Standard normal number of this kit, shape (members,).
    """
    row = value("nitrite_lift")
    return row.value * np.exp(log_sd(row) * z)
