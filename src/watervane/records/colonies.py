"""What each bacterial colony could turn over, habitat by habitat, against its load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.findings import Finding
from watervane.records.forecasts import Band, Diagnostics, NumberQuantiles
from watervane.records.levels import SettledLevels

COLONIES = ("ammonia", "nitrite")  # what each lives on
HABITATS = ("bed", "filter", "surface")
WHOLE = "all"
LOSSES = ("rinsed-in-tank-water", "rinsed-under-tap", "filter-lost")


@dataclass(frozen=True, slots=True)
class ColonyPart:
    """A colony in one habitat, or in all, over a day. [mg N/d]

    ``capacity`` is what it could turn over fed to saturation at the water's temperature, pH,
    oxygen and buffering; ``held`` what it turns over while the water stays at the level that
    counts as settled; ``load`` its part of what is offered. ``living_share`` is how much of the
    colony lives there.
    """

    capacity: NumberQuantiles
    held: NumberQuantiles
    load: NumberQuantiles
    living_share: NumberQuantiles


@dataclass(frozen=True, slots=True)
class ColonyLoss:
    """What one deed to the filter takes of the whole colony.

    ``taken`` is the share of it; ``chance_enough`` the chance that what stays carries the load
    of now while the water stays at the level that counts as settled.
    """

    taken: NumberQuantiles
    chance_enough: float


@dataclass(frozen=True, slots=True)
class Colony:
    """One colony now and ahead; ``parts`` and the bands are by `HABITATS` and `WHOLE`.

    Bands hold one value for each of the `Colonies.times`. ``awake`` is the share of its cells
    that food keeps awake. ``chance_enough`` is as in `ColonyLoss`, with nothing taken.
    """

    parts: Mapping[str, ColonyPart]
    capacity: Mapping[str, Band]
    held: Mapping[str, Band]
    load: Mapping[str, Band]
    awake: NumberQuantiles
    losses: Mapping[str, ColonyLoss]
    chance_enough: float


@dataclass(frozen=True, slots=True)
class Colonies:
    """Both colonies of a tank; ``guilds`` are by `COLONIES`.

    Each of ``times`` ends the day that its values are the mean of; the first is ``as_of``.
    ``mg_n_per_g_food`` is the nitrogen of a gram of the food the tank is given.
    """

    tank: str
    owner: str
    as_of: datetime
    seed: int
    volume_l: float
    temperature_c: NumberQuantiles
    ph: NumberQuantiles
    oxygen_mg_per_l: NumberQuantiles
    levels: SettledLevels
    mg_n_per_g_food: float
    times: tuple[datetime, ...]
    guilds: Mapping[str, Colony]
    diagnostics: Diagnostics
    findings: tuple[Finding, ...] = ()
