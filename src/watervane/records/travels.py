"""Animals carried home in a bag, and what the bag's water becomes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from watervane.records.findings import Finding
from watervane.records.forecasts import NumberQuantiles


@dataclass(frozen=True, slots=True)
class Trip:
    """A bag and what is in it; ``None`` where nobody knows.

    ``gas`` is ``air`` or ``oxygen``. The water is the shop's.
    """

    species: str
    count: int
    hours: float
    water_l: float = 1.0
    gas_l: float = 2.0
    gas: str = "air"
    length_cm: float | None = None
    ph: float | None = None
    kh_dkh: float | None = None
    gh_dgh: float | None = None
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class WaterGap:
    """How far the shop's water and the tank's lie apart in one quantity.

    ``untold`` names whose is not told, ``shop`` or ``tank``; its quantiles are then a guess, or
    ``None``. ``strains`` is the step within an hour that those in the bag bear without notice,
    ``harms`` the one that may kill, ``None`` where nobody knows; in the unit of the quantity.
    """

    quantity: str  # ph, temperature_c, gh_dgh
    shop: NumberQuantiles
    home: NumberQuantiles
    untold: tuple[str, ...]
    strains: float | None
    harms: float | None


@dataclass(frozen=True, slots=True)
class Homecoming:
    """What a bag's water becomes, and how its animals best get into the tank.

    ``arriving`` maps names of the bag's water (``oxygen_mg_per_l``, ``co2_mg_per_l``, ``ph``,
    ``ammonia_mg_n_per_l``, ``free_ammonia_mg_n_per_l``) to quantiles as it is opened.
    ``dripping`` is the highest free ammonia if it is opened and tank water drips in for
    ``drip_minutes``; ``bears_mg_n_per_l`` is what of it those in the bag bear for long. ``gaps``
    are those between the shop's water and the tank's. ``chances`` maps what may go wrong to its
    chance. ``advice`` is in the order of the work. ``home_from`` maps quantities of the tank's
    water (``ph``, ``kh``, ``temperature``, ``ammonia``, ``nitrite``) to where they are from:
    ``foretold``, ``read``, ``told`` of its source or heater, or ``assumed``.
    """

    tank: str
    trip: Trip
    arriving: Mapping[str, NumberQuantiles]
    dripping: NumberQuantiles
    drip_minutes: float
    chances: Mapping[str, float]
    advice: tuple[Finding, ...]
    gaps: tuple[WaterGap, ...] = ()
    bears_mg_n_per_l: float | None = None
    home_from: Mapping[str, str] = field(default_factory=dict)
