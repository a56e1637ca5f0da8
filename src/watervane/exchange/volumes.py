"""How much water a shape holds, and whether that agrees with a stated volume."""

from __future__ import annotations

import math
from dataclasses import dataclass

from watervane.exchange.problems import Place
from watervane.records import Bed, Shape

USUAL_FILL = 0.92  # share of the glass height that is filled where no depth is told
GRAIN_SHARE = 0.6  # of a bed, the rest is water
TOLERANCE = 0.15


@dataclass(frozen=True)
class ShapeVolume:
    """Litres a shape holds: with everything taken off, as it stands, and to the outer rim."""

    least_l: float
    usual_l: float
    most_l: float


def shape_volume(shape: Shape | None, bed: Bed | None) -> ShapeVolume | None:
    """Litres of a shape, or ``None`` where it does not tell enough.

    Parameters
    ----------
    shape, bed
        As written; outside lengths lose the glass on both sides.
    """
    if shape is None or shape.length_cm is None:
        return None
    width = shape.length_cm if shape.kind == "cylinder" else shape.width_cm
    tallest = shape.height_cm if shape.height_cm is not None else shape.water_depth_cm
    if width is None or tallest is None:
        return None
    depth = USUAL_FILL * tallest if shape.water_depth_cm is None else shape.water_depth_cm
    form = math.pi / 4.0 if shape.kind == "cylinder" else 1.0
    glass = glass_cm(shape)
    floor = form * max(shape.length_cm - glass, 0.0) * max(width - glass, 0.0)
    grains = GRAIN_SHARE * (bed.depth_cm or 0.0) if bed and bed.material != "none" else 0.0
    usual = floor * max(depth - grains, 0.3 * depth) / 1000.0
    gross = form * shape.length_cm * width * tallest / 1000.0
    return ShapeVolume(min(usual, 0.9 * floor * depth / 1000.0), usual, gross)


def glass_cm(shape: Shape) -> float:
    """What the panes on both sides take off a length. [cm]"""
    return 0.2 * (shape.glass_mm or 6.0) if shape.measured == "outside" else 0.0


def check_volume(
    volume_l: float | None, shape: Shape | None, bed: Bed | None, place: Place
) -> float | None:
    """Report what cannot be about glass, bed and volume; the litres of water to go by."""
    if shape is not None:
        _check_shape(shape, bed, place)
    held = shape_volume(shape, bed)
    if held is None:
        return volume_l
    if volume_l is None:
        return held.usual_l if held.usual_l > 0 else None
    low, high = (1.0 - TOLERANCE) * held.least_l, (1.0 + TOLERANCE) * held.most_l
    if not low <= volume_l <= high:
        told = {"volume_l": volume_l, "shape_l": held.usual_l, "most_l": held.most_l}
        place.at("volume").problem("volume-conflict", **told)
    return volume_l


def _check_shape(shape: Shape, bed: Bed | None, place: Place) -> None:
    depth, height = shape.water_depth_cm, shape.height_cm
    if depth is not None and height is not None and depth > height:
        told = {"depth_cm": depth, "height_cm": height}
        place.at("shape").at("water_depth").problem("depth-above-height", **told)
    top = depth if depth is not None else height
    if bed is not None and bed.depth_cm is not None and top is not None and bed.depth_cm >= top:
        told = {"bed_cm": bed.depth_cm, "water_cm": top}
        place.at("bed").at("depth").problem("bed-above-water", **told)
    sides = [s for s in (shape.length_cm, shape.width_cm) if s is not None]
    if sides and glass_cm(shape) >= min(sides):
        told = {"glass_mm": shape.glass_mm or 6.0, "side_cm": min(sides)}
        place.at("shape").at("glass").problem("glass-too-thick", **told)
