"""What was done to a tank, one record a kind; times are aware, in the keeper's zone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from watervane.records.fittings import Media
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """Fields every event shares."""

    at: datetime
    hour_known: bool = True
    note: str = ""
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed(Happening):
    """Food given; a mass of zero is a fast day."""

    mass_g: Span
    protein: float = 0.42
    raw: str = ""


# No table knows them, so they are held to the strictest limits there are.
UNNAMED = "animals that are not named"
NAMELESS_FISH = "fish that are not named"  # stands for animals nobody told of


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalsIn(Happening):
    """Animals added. Wet mass is per animal when told, else from the length."""

    species: str
    count: int
    length_cm: float | None = None
    mass_g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalsOut(Happening):
    """Animals taken out alive."""

    species: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Died(Happening):
    """Animals that died; ``removed`` tells whether the bodies were taken out."""

    species: str
    count: int
    removed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterChange(Happening):
    """Part of the water replaced by source water."""

    fraction: float  # of the water present, 0..1
    conditioner: bool = True
    water: Mapping[str, float] = field(default_factory=dict)  # SourceWater field -> value
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TopOff(Happening):
    """Water added to replace evaporation; ``None`` fills to the mark."""

    volume_l: float | None = None
    pure: bool = False  # distilled or reverse-osmosis water
    conditioner: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose(Happening):
    """A substance added; at most one of the three amounts is told.

    ``target_mg_n_per_l`` doses ammonia up to a level, ``added_mg_n_per_l``
    raises it by one. ``amount_factor`` is the range of what really went in, by what
    is told; ``None`` takes the amount as told.
    """

    substance: str  # canonical name, see reference table of substances
    mass_g: Span | None = None
    target_mg_n_per_l: float | None = None
    added_mg_n_per_l: float | None = None
    raw: str = ""
    amount_factor: Span | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Seed(Happening):
    """Bacteria brought in with mature media, bed, water or a bottle."""

    source: str = "media"  # media, bed, decor, water, bottle
    kind: str = "sponge"  # medium kind for ``media``
    volume_l: float | None = None
    condition: str = "fresh"  # fresh, rinsed in tank water, rinsed under tap, dried
    hours_out_of_water: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MediaMoved(Happening):
    """Part of the filter media taken out (or replaced by new)."""

    fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clean(Happening):
    """Cleaning of one habitat, or taking out what lies dead or uneaten (``waste``)."""

    part: str = "filter"  # filter, bed, glass, waste
    how: str = "tank water"  # tank water, tap water, replaced


@dataclass(frozen=True, slots=True, kw_only=True)
class Outage(Happening):
    """Power or a machine off for some hours."""

    hours: float
    what: str = "all"  # all, filter, heater, air, light


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment(Happening):
    """A medicine; ``colony_kill`` is the share of the colonies lost, if known."""

    substance: str
    colony_kill: Span | None = None


# What an equipment change may tell of the parts of a tank.
FLOW = "filter_flow_l_per_h"  # measured now and then; no part, but water follows it
PARTS = ("plants", "bed_material", "bed_depth_cm", "bed_grain_mm", "media")


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentChange(Happening):
    """What is other from here on: settings by the field of a tank, and parts it is made of.

    A part that is `None` stays as it was. ``media`` tells the litres of each kind it names; kinds
    it does not name stay, and no litres take one out.
    """

    changes: Mapping[str, float] = field(default_factory=dict)
    plants: str | None = None  # none, few, many
    bed_material: str | None = None  # as of a bed
    bed_depth_cm: float | None = None
    bed_grain_mm: float | None = None
    media: tuple[Media, ...] | None = None

    @property
    def fits(self) -> bool:
        """Whether it tells of a part, and not of settings alone."""
        return any(getattr(self, name) is not None for name in PARTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Happening):
    """Anything else worth keeping."""

    text: str = ""


Event = (
    Feed
    | AnimalsIn
    | AnimalsOut
    | Died
    | WaterChange
    | TopOff
    | Dose
    | Seed
    | MediaMoved
    | Clean
    | Outage
    | Treatment
    | EquipmentChange
    | Note
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """An event repeated every ``every_days`` from a date to a date, both included.

    The template's clock time is used each day; a single dated event of the same
    kind on a day overrides the habit there.
    """

    template: Event
    every_days: float
    start: date
    until: date | None = None
