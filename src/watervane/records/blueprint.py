"""A tank that does not exist yet: what is wished for."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from watervane.records.filling import Wish
from watervane.records.findings import Finding
from watervane.records.own_animals import OwnAnimal
from watervane.records.tank import SourceWater


@dataclass(frozen=True, slots=True)
class GlassBox:
    """Glass as planned or as found; sizes as measured, ``None`` where not told.

    ``length_cm`` is the side along the wall, of a cylinder the diameter, of a cube the edge, of a
    hexagon the distance between opposite sides. ``width_cm`` is front to back, of a bow front at
    its ends; ``bow_cm`` is how far its middle stands out. A corner tank has two sides along the
    walls and, at their ends, two short ones of ``return_cm``. ``corners_cm`` are those of any
    other straight-walled outline, in order.
    """

    kind: str = "rectangular"  # rectangular, cube, cylinder, hexagon, bow front, corner, polygon
    length_cm: float | None = None
    width_cm: float | None = None
    height_cm: float | None = None
    bow_cm: float | None = None
    return_cm: float | None = None
    corners_cm: tuple[tuple[float, float], ...] = ()
    water_depth_cm: float | None = None  # from the floor of the tank to the water line
    glass_mm: float | None = None
    bottom_mm: float | None = None
    measured: str = "inside"  # inside, outside
    braced: bool = False  # whether strips hold the upper edges of the long panes
    full_support: bool = True  # whether the bottom pane lies on a flat top, not on a frame alone


@dataclass(frozen=True, slots=True)
class BlendedIn:
    """A second grain stirred into a layer, by its share of the layer's mass."""

    material: str
    mass_share: float
    grain_mm: float | None = None


@dataclass(frozen=True, slots=True)
class BedLayer:
    """A layer of the bed, sloping evenly from front to back."""

    material: str = "gravel"
    front_cm: float = 3.0
    back_cm: float = 3.0
    grain_mm: float | None = None
    blended: BlendedIn | None = None

    @property
    def materials(self) -> tuple[str, ...]:
        """What it is of: one, or two that are stirred together."""
        return (self.material,) if self.blended is None else (self.material, self.blended.material)


@dataclass(frozen=True, slots=True)
class Decor:
    """Stones or wood by their mass."""

    material: str  # stone, limestone, wood
    mass_kg: float


@dataclass(frozen=True, slots=True)
class RoomFloor:
    """The floor the tank is to stand on; ``None`` where not told."""

    kind: str = "unknown"  # timber, concrete, ground, unknown
    span_cm: float | None = None  # between the walls or beams that carry it
    joists_cm: float | None = None  # from the middle of one joist to the next
    tank_across: bool | None = None  # whether the tank's length runs across joists or span
    wall_gap_cm: float = 5.0  # between the tank's back and the wall that carries the floor
    design_kpa: float = 2.0  # imposed load the floor was made for


@dataclass(frozen=True, slots=True)
class BlueprintWish:
    """Tank, room and animals as wished for."""

    name: str
    box: GlassBox
    layers: tuple[BedLayer, ...] = (BedLayer(),)
    decor: tuple[Decor, ...] = ()
    equipment_kg: float = 0.0
    stand_kg: float = 0.0
    support: str = "unknown"  # stand (made for such a tank), shelf (or other furniture), unknown
    floor: RoomFloor = field(default_factory=RoomFloor)
    animals: tuple[Wish, ...] = ()
    wanted: tuple[Wish, ...] = ()  # all wished for, where not all of them can live in it
    no_room: tuple[Finding, ...] = ()  # why those are left out that nothing but room stands against
    own_animals: tuple[OwnAnimal, ...] = ()  # what the keeper knows of them better
    food_g_per_d: float | None = None
    protein: float = 0.42
    target_ammonia_mg_n_per_l: float = 0.2
    media: str = "sponge"
    media_l: float | None = None  # of a filter at hand
    flow_l_per_h: float | None = None  # of a filter at hand, as it runs
    label_l: float | None = None  # litres of tank that a filter's label names
    air_flow_l_per_h: float = 0.0
    water_c: float = 25.0
    coldest_c: float = 17.0  # room, mean of the coldest day
    warmest_c: float = 28.0
    humidity: float = 0.5
    lid: bool = True
    machines_w: float = 0.0  # heat that pump and lamp leave in the water, mean of the day
    heater_w: float | None = None  # of a heater at hand
    price_per_kwh: float | None = None
    water_price: float | None = None  # of a cubic metre of tap water
    conditioner_price: float | None = None  # of a hundred grams, as all three
    salt_price: float | None = None
    food_price: float | None = None
    altitude_m: float = 0.0
    plants: str = "none"
    bag_kg: float = 10.0
    second_hand: bool = False
    source_water: SourceWater = field(default_factory=SourceWater)
    way: str | None = None  # to start; left out: the usual one
    filled: date | None = None
