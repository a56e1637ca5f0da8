"""A tank cut open along its length and from front to back, for a drawing to scale."""

from __future__ import annotations

import itertools

from watervane.planning.blueprint.outline import Outline, points_on
from watervane.planning.blueprint.shapes import Vessel
from watervane.records import BedSlope, BlueprintWish, TankCut, TankSection

POINTS_A_BOW = 64


def section_of(wish: BlueprintWish, vessel: Vessel) -> TankSection:
    """Cut a tank open, both ways through the middle of its floor.

    Parameters
    ----------
    wish
        With the layers of the bed.
    vessel
        Its glass.
    """
    left, right, front, back = vessel.inner.extent_cm
    middle, depth = 0.5 * (left + right), 0.5 * (front + back)
    outer = vessel.outer.extent_cm
    return TankSection(
        along=_shifted(_cut(vessel, 1, depth), outer[0]),
        across=_shifted(_cut(vessel, 0, middle), outer[2]),
        outer_height_cm=vessel.outer_height_cm,
        inner_height_cm=vessel.inner_height_cm,
        water_depth_cm=vessel.water_depth_cm,
        bottom_mm=vessel.bottom_mm,
        slopes=tuple(
            BedSlope(
                layer.material,
                layer.front_cm,
                layer.back_cm,
                layer.blended.material if layer.blended else None,
            )
            for layer in wish.layers
            if layer.material != "none"
        ),
        floor_front_cm=front - outer[2],
        floor_back_cm=back - outer[2],
    )


def stretches_cm(outline: Outline, axis: int, at_cm: float) -> tuple[tuple[float, float], ...]:
    """Stretches of a straight line that lie inside an outline.

    Parameters
    ----------
    outline
        Seen from above.
    axis
        Which coordinate is held: 0 a line from front to back, 1 one along the length.
    at_cm
        Where it is held. [cm]
    """
    found: list[float] = []
    for start, end, bow in outline.chords():
        points = points_on(start, end, bow, count=POINTS_A_BOW if bow else 1)
        for one, other in itertools.pairwise(points):
            if (one[axis] <= at_cm) != (other[axis] <= at_cm):
                share = (at_cm - one[axis]) / (other[axis] - one[axis])
                found.append(one[1 - axis] + share * (other[1 - axis] - one[1 - axis]))
    found.sort()
    return tuple(zip(found[::2], found[1::2], strict=True))


def _cut(vessel: Vessel, axis: int, at_cm: float) -> TankCut:
    return TankCut(stretches_cm(vessel.outer, axis, at_cm), stretches_cm(vessel.inner, axis, at_cm))


def _shifted(cut: TankCut, origin_cm: float) -> TankCut:
    """Counted from the outermost point of the glass."""

    def moved(stretches: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        return tuple((low - origin_cm, high - origin_cm) for low, high in stretches)

    return TankCut(moved(cut.outer_cm), moved(cut.inner_cm))
