"""From a kit to what a reading was read off: its own steps, digits, or those of a usual kit."""

from __future__ import annotations

import numpy as np

from watervane.kits.face import Face
from watervane.kits.photometer import DigitFace, usual_resolution
from watervane.kits.sizes import ADDITIVE, RATIO_ION_TO_N
from watervane.kits.steps import NEAREST, StepFace, UsualFace
from watervane.records import Kit, Reading


def kit_steps(reading: Reading, kit: Kit | None) -> tuple[float, ...] | None:
    """Steps a reading could have shown; where a concentration is told, zero is one of them."""
    scale = None if kit is None else kit.scale(reading.quantity)
    if scale is None or len(scale.steps) < 2:
        return None
    ratio = _unit_ratio(reading, kit)
    steps = tuple(ratio * step for step in scale.steps)
    if steps[0] > 0.0 and reading.quantity not in ADDITIVE:
        return (0.0, *steps)
    return steps


def _unit_ratio(reading: Reading, kit: Kit | None) -> float:
    """Of a scale without a basis, once a reading tells that it reads as nitrogen."""
    scale = None if kit is None else kit.scale(reading.quantity)
    if scale is None or scale.basis != "unknown" or reading.value.basis != "n":
        return 1.0
    return RATIO_ION_TO_N[reading.quantity]


def face(reading: Reading, kit: Kit | None, *, zero_cut: float = NEAREST) -> Face:
    """What a reading was read off: printed steps, digits, or the steps of a usual kit."""
    steps = kit_steps(reading, kit)
    if steps is not None:
        return StepFace(reading.quantity, steps, zero_cut)
    scale = None if kit is None else kit.scale(reading.quantity)
    told = None if scale is None else scale.resolution
    photometer = kit is not None and kit.kind == "photometer"
    if told is None and not photometer:
        return UsualFace(reading.quantity)
    ratio = _unit_ratio(reading, kit)
    end = None if scale is None else scale.range_end
    return DigitFace(
        reading.quantity,
        usual_resolution(reading.quantity) if told is None else ratio * told,
        np.inf if end is None else ratio * end,
    )
