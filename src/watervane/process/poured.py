"""Water changes and top-offs as actions."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from watervane.process.day_program import Action
from watervane.process.source_water import SOURCE_PARAMETERS, source_composition
from watervane.process.state import COMPONENTS, WATER
from watervane.records import SourceWater, TopOff, WaterChange

_SOURCE_FIELDS = frozenset(f.name for f in fields(SourceWater))


def change_action(at_d: float, event: WaterChange, usual: SourceWater) -> Action:
    """Take a share of the water out and fill back to the mark.

    Where the keeper tells of other water, that whole water is poured, the same for every
    member: its pH and charge belong together, and what it lacks it lacks for certain.
    """
    other: dict[str, float] = {}
    if event.water:
        known = {n: v for n, v in event.water.items() if n in _SOURCE_FIELDS}
        centre = {n: np.zeros((1, 1)) for n in SOURCE_PARAMETERS}
        composition = source_composition(replace(usual, **known), centre)[:, 0, 0]
        other = dict(zip(COMPONENTS, composition.tolist(), strict=True))
    temperature = event.temperature_c
    if temperature is None:
        temperature = 22.0 if usual.temperature_c is None else usual.temperature_c
    kept = 1.0 - event.fraction
    return Action(
        at_d,
        {
            "volume_keep": kept,
            "fill_to_mark": 1.0,
            "pure": float(bool(other)),  # nothing of the usual water
            "conditioned": float(event.conditioner),
            "poured_temperature_c": temperature,
        },
        {"keep": dict.fromkeys(WATER, kept), "water_differs": other},
    )


def top_off_action(at_d: float, event: TopOff, volume_l: float) -> Action:
    """Pour in what evaporated, or so much."""
    scalars = {"pure": float(event.pure), "conditioned": float(event.conditioner)}
    if event.volume_l is None:
        scalars["fill_to_mark"] = 1.0
    else:
        scalars["volume_add"] = event.volume_l / volume_l
    return Action(at_d, scalars)
