"""From a kind of tank and its sizes to outlines and heights; contradictions told one by one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from watervane.planning.blueprint.outline import (
    CrookedOutline,
    Outline,
    Side,
    checked,
    circle,
    polygon,
    regular,
)
from watervane.records import Finding, GlassBox

USUAL_GLASS_MM = 6.0
MOST_CM = 2000.0  # of any size: beyond what these sums are for
FREEBOARD = 0.92  # share of the height that is filled where no depth is told
KINDS = ("rectangular", "cube", "cylinder", "hexagon", "bow front", "corner", "polygon")
_NEEDED = {
    "rectangular": ("length_cm", "width_cm", "height_cm"),
    "cube": ("length_cm",),
    "cylinder": ("length_cm", "height_cm"),
    "hexagon": ("length_cm", "height_cm"),
    "bow front": ("length_cm", "width_cm", "height_cm", "bow_cm"),
    "corner": ("length_cm", "width_cm", "height_cm"),
    "polygon": ("height_cm",),
}


class CannotPlan(Exception):
    """A wish that contradicts itself, with every contradiction."""

    def __init__(self, problems: Sequence[Finding]) -> None:
        super().__init__(", ".join(problem.key for problem in problems))
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class Vessel:
    """Glass with nothing in it."""

    outer: Outline
    inner: Outline
    outer_height_cm: float
    inner_height_cm: float
    water_depth_cm: float
    glass_mm: float
    bottom_mm: float
    glass_assumed: bool

    @property
    def glass_l(self) -> float:
        """Space the glass itself takes. [L]"""
        outside = self.outer.area_cm2 * self.outer_height_cm
        return 1e-3 * (outside - self.inner.area_cm2 * self.inner_height_cm)


def vessel_of(box: GlassBox, glass_mm: float = USUAL_GLASS_MM) -> Vessel:
    """Work out inside and outside of a tank.

    Parameters
    ----------
    box
        As wished for.
    glass_mm
        Thickness of glass that nobody told. [mm]

    Raises
    ------
    CannotPlan
        With every size that is missing or contradicts another.
    """
    problems = _missing(box)
    if problems:
        raise CannotPlan(problems)
    glass_mm = box.glass_mm or glass_mm
    bottom_mm = box.bottom_mm or glass_mm
    outside = box.measured == "outside"
    try:
        told = checked(_outline(box))
        inner = told.inset(0.1 * glass_mm) if outside else told
        outer = told if outside else told.inset(-0.1 * glass_mm)
        checked(inner)
    except CrookedOutline as error:
        key = "blueprint-glass-fills" if "glass" in str(error) else "blueprint-outline"
        raise CannotPlan(
            [Finding(key, "problem", {"glass_mm": glass_mm, "why": str(error)})]
        ) from error
    height = box.height_cm if box.height_cm is not None else box.length_cm
    height = 0.0 if height is None else height
    bottom = 0.1 * bottom_mm
    high = (height, height - bottom) if outside else (height + bottom, height)
    depth = FREEBOARD * high[1] if box.water_depth_cm is None else box.water_depth_cm
    if depth > high[1] + 1e-9:
        told_depth = {"depth_cm": depth, "height_cm": high[1]}
        raise CannotPlan([Finding("blueprint-depth-above", "problem", told_depth)])
    return Vessel(outer, inner, *high, depth, glass_mm, bottom_mm, box.glass_mm is None)


def _missing(box: GlassBox) -> list[Finding]:
    if box.kind not in KINDS:
        return [Finding("blueprint-kind", "problem", {"kind": box.kind, "kinds": list(KINDS)})]
    names = {"length_cm": "length", "width_cm": "width", "height_cm": "height", "bow_cm": "bow"}
    found = [
        Finding("blueprint-missing", "problem", {"kind": box.kind, "name": names[name]})
        for name in _NEEDED[box.kind]
        if getattr(box, name) is None
    ]
    if box.kind == "polygon" and len(box.corners_cm) < 3:
        found.append(Finding("blueprint-corners", "problem", {"count": len(box.corners_cm)}))
    for name in ("length_cm", "width_cm", "height_cm", "glass_mm", "water_depth_cm", "bow_cm"):
        size = getattr(box, name)
        if size is not None and (size < 0.0 or (size == 0.0 and name != "bow_cm")):
            plain = name.rpartition("_")[0].replace("_", " ")
            found.append(Finding("blueprint-no-size", "problem", {"name": plain, "size": size}))
        if size is not None and name != "glass_mm" and size > MOST_CM:
            plain = name.rpartition("_")[0].replace("_", " ")
            told = {"name": plain, "size_cm": size, "most_cm": MOST_CM}
            found.append(Finding("blueprint-too-long", "problem", told))
    if box.kind == "cube":
        for name in ("width_cm", "height_cm"):
            size = getattr(box, name)
            if size is not None and size != box.length_cm:
                told = {"length_cm": box.length_cm, "size_cm": size}
                found.append(Finding("blueprint-no-cube", "problem", told))
    return found


def _outline(box: GlassBox) -> Outline:
    length, width = box.length_cm or 0.0, box.width_cm or 0.0
    if box.kind == "cube":
        width = length
    if box.kind == "cylinder":
        return circle(length)
    if box.kind == "hexagon":
        return regular(6, length)
    if box.kind == "polygon":
        return polygon(box.corners_cm)
    if box.kind == "corner":
        return _corner(length, width, box.return_cm or 0.0, box.bow_cm or 0.0)
    bow = (box.bow_cm or 0.0) if box.kind == "bow front" else 0.0
    if bow > 0.5 * length:
        raise CrookedOutline("its front bows out by more than half its length")
    return Outline((Side(0, 0, bow), Side(length, 0), Side(length, width), Side(0, width)))


def _corner(length: float, width: float, back: float, bow: float) -> Outline:
    """Two sides along walls that meet at the origin, short returns, and a front between them."""
    if back >= min(length, width):
        raise CrookedOutline("its short sides are as long as those along the walls")
    if back == 0.0:
        return Outline((Side(0, 0), Side(length, 0, bow), Side(0, width)))
    return Outline(
        (Side(0, 0), Side(length, 0), Side(length, back, bow), Side(back, width), Side(0, width))
    )


def longest_cm(outline: Outline) -> tuple[float, float]:
    """Extent along the wall and from front to back. [cm]"""
    left, right, front, back = outline.extent_cm
    return right - left, back - front


def footprint_m2(vessel: Vessel) -> float:
    """Area the tank stands on. [m2]"""
    return 1e-4 * vessel.outer.area_cm2


def chord_cm(chord: tuple[tuple[float, float], tuple[float, float], float]) -> float:
    """Straight length of a side. [cm]"""
    return math.dist(chord[0], chord[1])
