"""Single readings: the interval one stands for, and how likely it is.

The models of whole logs are in `watervane.inference.observation`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from watervane.kits.faces import face
from watervane.kits.sizes import (
    ADDITIVE,
    RATIO_ION_TO_N,
    SCALES,
    SIZES,
    errors_of_kit,
)
from watervane.records import Kit, Reading

BIAS_SPREAD = SIZES["drop"].bias_log_sd
RELATIVE_ERROR = {kind: sizes.relative_error for kind, sizes in SIZES.items()}


def reading_interval(reading: Reading, kit: Kit | None) -> tuple[float, float]:
    """The levels a reading stands for, in the canonical unit; infinite where open.

    On a kit's own scale, a value on a step reaches half way to the next steps, and what
    lies between two steps (a range, an off-step value) reaches from the one to the other.
    Of a diluted sample: the levels of the water it was taken from.
    """
    cell = face(reading, kit).cell(reading.value)
    return reading.diluted * cell.low, reading.diluted * cell.high


def with_kit_basis(reading: Reading, kit: Kit | None) -> Reading:
    """A reading whose basis was left out, on the basis its kit's scale is known to have."""
    value = reading.value
    scale = None if kit is None else kit.scale(reading.quantity)
    if value.basis != "unknown" or scale is None or scale.basis not in ("n", "ion"):
        return reading
    ratio = RATIO_ION_TO_N[reading.quantity] if scale.basis == "n" else 1.0
    low = None if value.low is None else ratio * value.low
    high = None if value.high is None else ratio * value.high
    return replace(reading, value=replace(value, low=low, high=high, basis=scale.basis))


def reading_spread(
    reading: Reading, kit: Kit | None, level: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Standard deviation of one reading about what its kit shows on average.

    Parameters
    ----------
    reading, kit
        What is read off what.
    level
        What the kit shows on average, any shape.
    """
    return errors_of_kit(kit, reading.quantity).spread(level)


__all__ = [
    "ADDITIVE",
    "BIAS_SPREAD",
    "RATIO_ION_TO_N",
    "RELATIVE_ERROR",
    "SCALES",
    "reading_interval",
    "reading_spread",
    "with_kit_basis",
]
