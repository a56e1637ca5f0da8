"""The kinds of mishap that can be rehearsed, and how large each may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MishapSize:
    """Sizes of a kind of mishap.

    ``unit`` is ``h``, ``d``, ``g``, ``L``, ``animals`` or ``percent``; empty where there is none.
    """

    unit: str
    usual: float
    least: float
    most: float


MISHAP_SIZES: Mapping[str, MishapSize] = {
    "power-cut": MishapSize("h", 8.0, 0.5, 240.0),
    "filter-stopped": MishapSize("h", 24.0, 0.5, 720.0),
    "filter-left-dry": MishapSize("h", 12.0, 0.5, 72.0),
    "filter-under-tap": MishapSize("", 1.0, 1.0, 1.0),
    "heater-stopped": MishapSize("h", 48.0, 1.0, 720.0),
    "heater-stuck": MishapSize("h", 12.0, 1.0, 240.0),
    "heat-wave": MishapSize("d", 5.0, 1.0, 60.0),
    "no-food": MishapSize("d", 14.0, 1.0, 60.0),
    "double-meals": MishapSize("d", 7.0, 1.0, 60.0),
    "neighbour-feeds": MishapSize("d", 14.0, 1.0, 60.0),
    "food-spilt": MishapSize("g", 20.0, 0.1, 2000.0),
    "animal-dies": MishapSize("animals", 1.0, 1.0, 1000.0),
    "young-fish": MishapSize("animals", 20.0, 1.0, 1000.0),
    "more-animals": MishapSize("animals", 5.0, 1.0, 1000.0),
    "medicine": MishapSize("percent", 50.0, 1.0, 99.0),
    "no-changes": MishapSize("d", 28.0, 1.0, 365.0),
    "larger-tank": MishapSize("L", 200.0, 5.0, 10_000.0),
}
