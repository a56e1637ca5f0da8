"""A planned tank cut open: what a drawing to scale is made from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TankCut:
    """Where one upright cut through the middle meets the walls.

    ``outer_cm`` and ``inner_cm`` are the stretches between the outer and the inner faces of the
    glass, from the left; a floor that is no plain rectangle may be met more than once.
    """

    outer_cm: tuple[tuple[float, float], ...]
    inner_cm: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class BedSlope:
    """A layer of the bed as it lies, the lowest first; depths at its front and back. [cm]"""

    material: str
    front_cm: float
    back_cm: float
    blended: str | None = None  # the second material stirred into it


@dataclass(frozen=True, slots=True)
class TankSection:
    """A tank cut along its length and from front to back, both through the middle of the floor."""

    along: TankCut
    across: TankCut
    outer_height_cm: float
    inner_height_cm: float
    water_depth_cm: float
    bottom_mm: float
    slopes: tuple[BedSlope, ...]
    floor_front_cm: (
        float  # foremost point of the floor, inside, as the cut from front to back counts
    )
    floor_back_cm: float
