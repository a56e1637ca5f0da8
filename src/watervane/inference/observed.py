"""What a kit would look at, taken from the model's outputs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from watervane.process.run import Course
from watervane.process.state import OUTPUT

DKH_PER_MEQ = 1.0 / 0.356650
DGH_PER_MMOL = 1.0 / 0.178325

_PLAIN = {
    "ammonia": ("ammonia_mg_n_per_l", 1.0),
    "nitrite": ("nitrite_mg_n_per_l", 1.0),
    "nitrate": ("nitrate_mg_n_per_l", 1.0),
    "ph": ("ph", 1.0),
    "kh": ("alkalinity_meq_per_l", DKH_PER_MEQ),
    "gh": ("minerals_mmol_per_l", DGH_PER_MMOL),
    "oxygen": ("oxygen_mg_per_l", 1.0),
    "co2": ("co2_mg_per_l", 1.0),
    "temperature": ("temperature_c", 1.0),
    "chlorine": ("chlorine_mg_per_l", 1.0),
    "chloride": ("chloride_mg_per_l", 1.0),
}
MODELLED = tuple(_PLAIN)


def output_of(quantity: str) -> str:
    """Name of the model's output that a quantity is made of."""
    return _PLAIN[quantity][0]


def plain(course: Course, stops: NDArray[np.int64], quantity: str) -> NDArray[np.float64]:
    """What the water holds at some stops, shape (stops, members)."""
    name, factor = _PLAIN[quantity]
    held = course.outputs[OUTPUT[name]][stops]
    return np.asarray(held if factor == 1.0 else factor * held)


def observable(course: Course, stop: int, quantity: str) -> NDArray[np.float64]:
    """What a middling kit would show at one stop, shape (members,).

    Nitrate kits reduce nitrate to nitrite first; here nitrite counts as much as nitrate.
    """
    held = plain(course, np.array([stop]), quantity)
    if quantity == "nitrate":
        held = held + plain(course, np.array([stop]), "nitrite")
    return np.asarray(held[0])
