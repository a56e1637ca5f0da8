"""What lies and stands in a tank: glass, bed, filter and its media."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shape:
    """Inside dimensions of the water body; ``None`` where not told."""

    kind: str = "rectangular"  # rectangular, cylinder
    length_cm: float | None = None  # as written; for a cylinder, the diameter
    width_cm: float | None = None
    height_cm: float | None = None
    water_depth_cm: float | None = None
    glass_mm: float | None = None
    measured: str = "inside"  # inside, outside


@dataclass(frozen=True, slots=True)
class Bed:
    """The layer of gravel, sand or soil on the floor."""

    material: str = "gravel"  # gravel, sand, soil, coral sand, limestone, none
    depth_cm: float | None = None
    grain_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Media:
    """One filter medium."""

    kind: str  # sponge, foam, ceramic, floss, carrier, sand, other
    volume_l: float


@dataclass(frozen=True, slots=True)
class Filter:
    """The filter and what is in it."""

    media: tuple[Media, ...] = ()
    flow_l_per_h: float | None = None
