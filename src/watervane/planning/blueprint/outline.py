"""Outlines of straight-walled tanks seen from above: straight and bowed sides, exact areas.

A side runs from its corner to the next one, counter-clockwise; ``bow_cm`` is how far its middle
stands out from the straight line, so that a bowed side is an arc of a circle.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

Point = tuple[float, float]
STRAIGHT_CM = 0.01  # a bow smaller than that is none


@dataclass(frozen=True, slots=True)
class Side:
    """One side by the corner it starts from and how far it bows out. [cm]"""

    x_cm: float
    y_cm: float
    bow_cm: float = 0.0


class CrookedOutline(ValueError):
    """Sides that cross, or glass that fills the tank."""


@dataclass(frozen=True, slots=True)
class _Arc:
    """A bowed side: centre and radius of its circle, half the angle it spans."""

    centre: Point
    radius: float
    half_angle: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed outline, counter-clockwise."""

    sides: tuple[Side, ...]

    @property
    def corners(self) -> list[Point]:
        """Corners in order. [cm]"""
        return [(side.x_cm, side.y_cm) for side in self.sides]

    def chords(self) -> Iterator[tuple[Point, Point, float]]:
        """Each side as its two corners and its bow. [cm]"""
        corners = self.corners
        for index, side in enumerate(self.sides):
            yield corners[index], corners[(index + 1) % len(corners)], side.bow_cm

    @property
    def area_cm2(self) -> float:
        """Area: of the polygon, and of what the bows add. [cm2]"""
        return _polygon(self.corners)[0] + sum(_segment(*c)[0] for c in self.chords())

    @property
    def centroid_cm(self) -> Point:
        """Centre of the area. [cm]"""
        parts = [_polygon(self.corners), *(_segment(*chord) for chord in self.chords())]
        area = sum(part[0] for part in parts)
        return (
            sum(part[0] * part[1][0] for part in parts) / area,
            sum(part[0] * part[1][1] for part in parts) / area,
        )

    @property
    def perimeter_cm(self) -> float:
        """Way round the outline. [cm]"""
        return sum(side_length_cm(*chord) for chord in self.chords())

    @property
    def extent_cm(self) -> tuple[float, float, float, float]:
        """Least x, most x, least y, most y. [cm]"""
        points = [p for chord in self.chords() for p in points_on(*chord, count=64)]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), max(xs), min(ys), max(ys)

    def inset(self, distance_cm: float) -> Outline:
        """The outline so far inside this one, as glass of a thickness leaves it.

        Raises
        ------
        CrookedOutline
            If nothing is left.
        """
        if distance_cm == 0.0:
            return self
        chords = list(self.chords())
        moved = [
            _corner(chords[index - 1], chords[index], distance_cm) for index in range(len(chords))
        ]
        sides = []
        for index, (start, end, bow) in enumerate(chords):
            first, last = moved[index], moved[(index + 1) % len(moved)]
            along = (last[0] - first[0]) * (end[0] - start[0])
            along += (last[1] - first[1]) * (end[1] - start[1])
            if along <= 0.0:
                raise CrookedOutline("the glass fills the tank")
            sides.append(Side(*first, _bow_inside(start, end, bow, first, last, distance_cm)))
        found = Outline(tuple(sides))
        if found.area_cm2 <= 0.0:
            raise CrookedOutline("the glass fills the tank")
        return found


def checked(outline: Outline) -> Outline:
    """The same outline, turned counter-clockwise if need be.

    Raises
    ------
    CrookedOutline
        If it has no floor, sides of no length, or sides that cross. A bow of a hair is none.
    """
    if _polygon(outline.corners)[0] < 0.0:
        corners = outline.corners[::-1]
        bows = [side.bow_cm for side in outline.sides][::-1]
        bows = [*bows[1:], bows[0]]
        outline = Outline(tuple(Side(*c, b) for c, b in zip(corners, bows, strict=True)))
    flat = [
        side if abs(side.bow_cm) > STRAIGHT_CM else replace(side, bow_cm=0.0)
        for side in outline.sides
    ]
    outline = Outline(tuple(flat))
    lines: list[tuple[Point, Point]] = []
    for start, end, bow in outline.chords():
        if math.dist(start, end) < 0.1:
            raise CrookedOutline("a side has no length")
        points = points_on(start, end, bow, count=16 if bow else 1)
        lines += itertools.pairwise(points)
    for index, one in enumerate(lines):
        later = lines[index + 2 : len(lines) - (index == 0)]
        if any(_cross(*one, *other) for other in later):
            raise CrookedOutline("its sides cross")
    if outline.area_cm2 < 1.0:
        raise CrookedOutline("it has no floor")
    return outline


def side_length_cm(start: Point, end: Point, bow_cm: float) -> float:
    """Length of a side along the glass. [cm]"""
    if bow_cm == 0.0:
        return math.dist(start, end)
    arc = _arc(start, end, bow_cm)
    return 2.0 * arc.radius * arc.half_angle


def radius_cm(start: Point, end: Point, bow_cm: float) -> float:
    """Radius of a bowed side. [cm]"""
    return _arc(start, end, bow_cm).radius


def points_on(start: Point, end: Point, bow_cm: float, count: int) -> list[Point]:
    """Points along a side, both corners among them. [cm]"""
    if bow_cm == 0.0:
        return [start, end]
    arc = _arc(start, end, bow_cm)
    from_angle = math.atan2(start[1] - arc.centre[1], start[0] - arc.centre[0])
    turn = math.copysign(2.0 * arc.half_angle, bow_cm)
    angles = [from_angle + turn * step / count for step in range(count + 1)]
    found = [
        (arc.centre[0] + arc.radius * math.cos(a), arc.centre[1] + arc.radius * math.sin(a))
        for a in angles
    ]
    return [start, *found[1:-1], end]


def regular(corners: int, across_flats_cm: float) -> Outline:
    """A regular polygon by the distance between opposite sides."""
    radius = 0.5 * across_flats_cm / math.cos(math.pi / corners)
    turns = [2.0 * math.pi * (step + 0.5) / corners for step in range(corners)]
    return Outline(tuple(Side(radius * math.cos(t), radius * math.sin(t)) for t in turns))


def circle(diameter_cm: float) -> Outline:
    """A cylinder seen from above: two half circles."""
    half = 0.5 * diameter_cm
    return Outline((Side(half, 0.0, half), Side(-half, 0.0, half)))


def polygon(corners: Sequence[Point]) -> Outline:
    """Straight sides through corners."""
    return Outline(tuple(Side(x, y) for x, y in corners))


def _polygon(corners: Sequence[Point]) -> tuple[float, Point]:
    """Signed area and centroid of straight sides."""
    area = x = y = 0.0
    for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], corners[0]], strict=True):
        cross = x1 * y2 - x2 * y1
        area += 0.5 * cross
        x += (x1 + x2) * cross / 6.0
        y += (y1 + y2) * cross / 6.0
    return (area, (x / area, y / area)) if area else (0.0, corners[0])


def _arc(start: Point, end: Point, bow: float) -> _Arc:
    half = 0.5 * math.dist(start, end)
    height = abs(bow)
    radius = (half * half + height * height) / (2.0 * height)
    out = _outward(start, end)
    middle = (0.5 * (start[0] + end[0]), 0.5 * (start[1] + end[1]))
    reach = (height - radius) * math.copysign(1.0, bow)
    centre = (middle[0] + reach * out[0], middle[1] + reach * out[1])
    return _Arc(centre, radius, 2.0 * math.atan2(height, half))


def _segment(start: Point, end: Point, bow: float) -> tuple[float, Point]:
    """Signed area and centroid of what a bow adds to the polygon."""
    if bow == 0.0:
        return 0.0, start
    arc = _arc(start, end, bow)
    sine = math.sin(arc.half_angle)
    area = arc.radius**2 * (arc.half_angle - 0.5 * math.sin(2.0 * arc.half_angle))
    away = 2.0 * arc.radius**3 * sine**3 / (3.0 * area)
    out = _outward(start, end)
    sign = math.copysign(1.0, bow)
    place = (arc.centre[0] + sign * away * out[0], arc.centre[1] + sign * away * out[1])
    return sign * area, place


def _outward(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[1] - start[1]) / length, (start[0] - end[0]) / length


_Chord = tuple[Point, Point, float]


def _corner(before: _Chord, after: _Chord, distance: float) -> Point:
    """Where two neighbouring sides meet once both have moved in."""
    corner = after[0]
    if before[2] == 0.0 and after[2] == 0.0:
        return _line_line(_moved(before, distance), _moved(after, distance), corner)
    if before[2] == 0.0:
        return _line_circle(_moved(before, distance), _inner(after, distance), corner)
    if after[2] == 0.0:
        return _line_circle(_moved(after, distance), _inner(before, distance), corner)
    return _circle_circle(_inner(before, distance), _inner(after, distance), corner)


def _moved(chord: _Chord, distance: float) -> tuple[Point, Point]:
    out = _outward(chord[0], chord[1])
    shift = (-distance * out[0], -distance * out[1])
    return (
        (chord[0][0] + shift[0], chord[0][1] + shift[1]),
        (chord[1][0] + shift[0], chord[1][1] + shift[1]),
    )


def _inner(chord: _Chord, distance: float) -> tuple[Point, float]:
    arc = _arc(*chord)
    radius = arc.radius - distance * math.copysign(1.0, chord[2])
    if radius <= 0.0:
        raise CrookedOutline("the glass fills the tank")
    return arc.centre, radius


def _line_line(one: tuple[Point, Point], other: tuple[Point, Point], corner: Point) -> Point:
    (x1, y1), (x2, y2) = one
    (x3, y3), (x4, y4) = other
    below = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    if abs(below) < 1e-9 * math.dist(*one) * math.dist(*other):
        moved = (x2 - corner[0], y2 - corner[1])  # one straight wall in two parts
        return corner[0] + moved[0], corner[1] + moved[1]
    a, b = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return (a * (x3 - x4) - (x1 - x2) * b) / below, (a * (y3 - y4) - (y1 - y2) * b) / below


def _line_circle(line: tuple[Point, Point], circle_of: tuple[Point, float], corner: Point) -> Point:
    (x1, y1), (x2, y2) = line
    (cx, cy), radius = circle_of
    length = math.dist(*line)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    foot = (cx - x1) * ux + (cy - y1) * uy
    off2 = (cx - x1 - foot * ux) ** 2 + (cy - y1 - foot * uy) ** 2
    if off2 >= radius * radius:
        raise CrookedOutline("the glass fills the tank")
    reach = math.sqrt(radius * radius - off2)
    found = [(x1 + (foot + s) * ux, y1 + (foot + s) * uy) for s in (-reach, reach)]
    return min(found, key=lambda p: math.dist(p, corner))


def _circle_circle(one: tuple[Point, float], other: tuple[Point, float], corner: Point) -> Point:
    (p, r), (q, s) = one, other
    apart = math.dist(p, q)
    if apart < 1e-9:  # parts of one circle: straight in
        away = math.dist(p, corner)
        return p[0] + (corner[0] - p[0]) * r / away, p[1] + (corner[1] - p[1]) * r / away
    along = (apart**2 + r**2 - s**2) / (2.0 * apart)
    if along**2 >= r**2:
        raise CrookedOutline("the glass fills the tank")
    up = math.sqrt(r**2 - along**2)
    ux, uy = (q[0] - p[0]) / apart, (q[1] - p[1]) / apart
    base = (p[0] + along * ux, p[1] + along * uy)
    found = [(base[0] - sign * up * uy, base[1] + sign * up * ux) for sign in (-1.0, 1.0)]
    return min(found, key=lambda point: math.dist(point, corner))


def _bow_inside(
    start: Point, end: Point, bow: float, first: Point, last: Point, distance: float
) -> float:
    if bow == 0.0:
        return 0.0
    arc = _arc(start, end, bow)
    radius = arc.radius - distance * math.copysign(1.0, bow)
    half = 0.5 * math.dist(first, last)
    flat = math.sqrt(max(radius * radius - half * half, 0.0))
    height = radius + flat if abs(bow) > arc.radius else radius - flat
    return math.copysign(height, bow)


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < 0.0 and turn(c, d, a) * turn(c, d, b) < 0.0
