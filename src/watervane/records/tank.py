"""What a tank is: glass, bed, machines, kits and the water it is filled with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from watervane.records.allowed_risk import AllowedRisk
from watervane.records.events import Event, Habit
from watervane.records.fittings import Bed, Filter, Shape
from watervane.records.levels import SettledLevels
from watervane.records.limits import LimitEdit
from watervane.records.own_animals import OwnAnimal
from watervane.records.readings import Reading
from watervane.records.spans import Span

LOCAL_OWNER = "local"


@dataclass(frozen=True, slots=True)
class SourceWater:
    """The keeper's tap, well or bottled water; ``None`` where unknown."""

    ph: float | None = None
    kh_dkh: float | None = None
    gh_dgh: float | None = None
    ammonia_mg_n_per_l: float | None = None
    nitrite_mg_n_per_l: float | None = None
    nitrate_mg_n_per_l: float | None = None
    chlorine_mg_per_l: float | None = None  # as Cl2; None: unknown
    chloramine_mg_per_l: float | None = None  # as Cl2; None: unknown
    chloride_mg_per_l: float | None = None
    conductivity_us_per_cm: float | None = None
    temperature_c: float | None = None
    salinity_g_per_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class KitScale:
    """What one quantity is read off: printed steps, ascending, or digits.

    Steps, resolution and range end are in the canonical unit of the quantity under ``basis``.
    """

    quantity: str
    steps: tuple[float, ...] = ()
    basis: str = "unknown"  # n, ion, unknown, none
    resolution: float | None = None  # one unit of the last digit, or one drop of a titration
    range_end: float | None = None  # the highest value shown
    relative_error: float | None = None  # one standard deviation
    error_floor: float | None = None  # the same near zero, in the canonical unit
    reagent: str = ""  # of ammonia: salicylate, nessler


@dataclass(frozen=True, slots=True)
class Kit:
    """A test kit, described generically."""

    name: str
    kind: str = "drop"  # drop, strip, photometer, probe
    scales: tuple[KitScale, ...] = ()
    response_h: float | None = None  # time constant of a probe
    calibrated: tuple[date, ...] = ()  # days on which a probe was calibrated

    def scale(self, quantity: str) -> KitScale | None:
        """The scale for ``quantity``, or ``None`` when the kit has none."""
        return next((s for s in self.scales if s.quantity == quantity), None)


@dataclass(frozen=True, slots=True)
class Tank:
    """One tank with its whole log; ``volume_l`` is the keeper's own statement. [L]"""

    name: str
    filled: date
    owner: str = LOCAL_OWNER
    time_zone: str = "UTC"
    volume_l: float | None = None
    shape: Shape | None = None
    bed: Bed | None = None
    filter: Filter | None = None
    heater_power_w: float | None = None
    heater_set_point_c: float | None = None
    air_flow_l_per_h: float | None = None
    light_hours: float | None = None
    plants: str = "none"  # none, few, many
    lid: bool | None = None
    room_temperature_c: float | None = None
    altitude_m: float = 0.0
    normal_food_g_per_d: Span | None = None
    normal_food_protein: float = 0.42
    source_water: SourceWater = field(default_factory=SourceWater)
    fill_conditioned: bool = True
    kits: Mapping[str, Kit] = field(default_factory=dict)
    events: tuple[Event, ...] = ()
    habits: tuple[Habit, ...] = ()
    readings: tuple[Reading, ...] = ()
    notes: str = ""
    food_amounts: Mapping[str, Span] = field(default_factory=dict)  # the keeper's weighings [g]
    settled_levels: SettledLevels = field(default_factory=SettledLevels)
    limit_edits: tuple[LimitEdit, ...] = ()
    allowed_risk: AllowedRisk = field(default_factory=AllowedRisk)
    own_animals: tuple[OwnAnimal, ...] = ()  # they shadow the catalogue
    co2_injected: bool = False  # for plants
    co2_target_mg_per_l: float | None = None  # what the keeper means to hold
    filled_known: bool = True  # whether the keeper knows the day, or it was put in for want of one
    put_away: date | None = None  # the day its keeper put it away; it is out of sight since

    @property
    def hardness_told(self) -> bool:
        """Whether GH is told of the source water, or was read of either water."""
        read = any(reading.quantity == "gh" for reading in self.readings)
        return read or self.source_water.gh_dgh is not None
