"""Where the labels of level lines stand, reckoned from the levels: none on another, none on a line.

A label stands just above or below a line, at the left or the right edge of its panel; where lines
lie close together their labels are stacked beside them in the order of the levels. The narrowest
drawing is reckoned with: a wider one only draws left and right apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

Side = Literal["left", "right"]
SIDES: tuple[Side, ...] = ("right", "left")
LETTER_PX = 5.9  # of an average letter of a label, in the widest of the fonts
ROW_PX, GAP_PX = 13.5, 2.0
NARROWEST_PX = 262.0  # plotting area on a telephone of 360 px
INSET_PX = 4.0
MOST_ROWS = 4  # that are stacked on one line
# What is put up with, from worst to least.
OUTSIDE, ON_LINE, ON_LABEL = 400.0, 300.0, 1000.0
TURNED, PAST_LINE, PAST_NEAR_LINE, PER_PX = 30.0, 20.0, 3.0, 0.25
ON_MEDIAN, ON_READING, ON_BAND, ON_NOW, ON_THE_LEFT = 16.0, 5.0, 6.0, 2.0, 0.5


@dataclass(frozen=True, slots=True)
class Course:
    """What is drawn over the labels, in shares of a panel: x from the left, y from the top.

    ``band`` holds the top, the middle and the bottom of the wide band at each ``x``;
    ``readings`` are the tops and bottoms of bars at their x; at ``now`` a line stands upright.
    """

    x: tuple[float, ...] = ()
    band: tuple[tuple[float, float, float], ...] = ()
    readings: tuple[tuple[float, float, float], ...] = ()
    now: float | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """Of one label: its side, and its upper edge under that of the panel [px]."""

    side: Side
    top_px: float


@dataclass(frozen=True, slots=True)
class _Line:
    """A level line of a panel and the width of its label [px]."""

    y: float
    width: float


def label_places(
    levels: Sequence[tuple[float, str]],
    domain: tuple[float, float],
    height_px: float,
    course: Course | None = None,
) -> tuple[Place, ...]:
    """The place of the label of each level, in their order.

    Parameters
    ----------
    levels
        Value and label of each line, in the unit of the domain.
    domain
        Lowest and highest value of the panel.
    height_px
        Of the panel. [px]
    course
        What is drawn over the labels.
    """
    low, high = domain
    lines = [
        _Line(height_px * (high - value) / (high - low), LETTER_PX * len(label) + INSET_PX)
        for value, label in levels
    ]
    drawn = course or Course()
    offered = [_offered(own, lines, height_px, drawn) for own in range(len(lines))]
    best: tuple[float, tuple[Place, ...]] = (float("inf"), ())

    def go_on(cost: float, placed: tuple[Place, ...]) -> None:
        nonlocal best
        if cost >= best[0]:
            return
        if len(placed) == len(lines):
            best = (cost, placed)
            return
        for own_cost, place in offered[len(placed)]:
            if cost + own_cost >= best[0]:
                return
            go_on(cost + own_cost + _among(place, placed, lines), (*placed, place))

    go_on(0.0, ())
    return best[1]


def headroom(levels: Sequence[float], low: float, high: float, height_px: float) -> float:
    """How high a panel must reach so that labels find room above the uppermost lines.

    Parameters
    ----------
    levels
        The values of the lines.
    low, high
        What the panel shows without labels.
    height_px
        Of the panel. [px]
    """
    if not levels:
        return high
    top, wanted = max(levels), high
    for rows in range(1, len(levels) + 1):
        needed = rows * ROW_PX + 2 * GAP_PX
        reach = low + (top - low) / (1.0 - needed / height_px)
        near = needed * (reach - low) / height_px
        wanted = max(high, reach)
        if sum(value > top - near for value in levels) <= rows:
            break
    return wanted


@dataclass(frozen=True, slots=True)
class _Under:
    """What runs through the columns of a label: tops and bottoms, in shares of the panel."""

    bands: tuple[tuple[float, float], ...]
    medians: tuple[tuple[float, float], ...]
    readings: tuple[tuple[float, float], ...]
    now: bool

    @classmethod
    def label(cls, side: Side, width_px: float, course: Course) -> _Under:
        """Of a label as wide as this."""
        share = min(1.0, width_px / NARROWEST_PX)
        left, right = (0.0, share) if side == "left" else (1.0 - share, 1.0)
        under = [band for x, band in zip(course.x, course.band, strict=True) if left <= x <= right]
        middles = [middle for _, middle, _ in under]
        return cls(
            bands=tuple((top, bottom) for top, _, bottom in under),
            medians=tuple((min(pair), max(pair)) for pair in pairwise(middles)),
            readings=tuple((top, low) for x, top, low in course.readings if left <= x <= right),
            now=course.now is not None and left <= course.now <= right,
        )

    def cost(self, top: float, bottom: float) -> float:
        """Of lying under all that between two heights, in shares of the panel."""

        def met(spans: tuple[tuple[float, float], ...]) -> int:
            return sum(high < bottom and low > top for high, low in spans)

        return (
            ON_BAND * met(self.bands) / max(1, len(self.bands))
            + ON_MEDIAN * bool(met(self.medians))
            + ON_READING * bool(met(self.readings))
            + ON_NOW * self.now
        )


def _offered(
    own: int, lines: Sequence[_Line], height_px: float, course: Course
) -> list[tuple[float, Place]]:
    """Every place for a label with what it costs by itself, the cheapest first."""
    tops = {
        top
        for line in lines
        for row in range(MOST_ROWS)
        for top in (line.y - GAP_PX - (row + 1) * ROW_PX, line.y + GAP_PX + row * ROW_PX)
    }
    found = []
    for side in SIDES:
        under = _Under.label(side, lines[own].width, course)
        dear = ON_THE_LEFT if side == "left" else 0.0
        for top in tops:
            covered = under.cost(top / height_px, (top + ROW_PX) / height_px)
            found.append((dear + covered + _alone(top, own, lines, height_px), Place(side, top)))
    return sorted(found, key=lambda each: (each[0], each[1].side, each[1].top_px))


def _alone(top: float, own: int, lines: Sequence[_Line], height_px: float) -> float:
    """What a height costs by itself: how far it is from the line, and what it lies on."""
    bottom, line = top + ROW_PX, lines[own]
    cost = PER_PX * max(0.0, top - line.y, line.y - bottom)
    if top < 0.0 or bottom > height_px:
        cost += OUTSIDE
    for other in lines:
        if top + 0.5 < other.y < bottom - 0.5:
            cost += ON_LINE
        elif min(top, line.y) < other.y < max(bottom, line.y) and other is not line:
            cost += PAST_NEAR_LINE if abs(other.y - line.y) < ROW_PX else PAST_LINE
    return cost


def _among(place: Place, placed: Sequence[Place], lines: Sequence[_Line]) -> float:
    """What it costs beside the labels that are placed already."""
    line, cost = lines[len(placed)], 0.0
    for other, other_line in zip(placed, lines, strict=False):
        beside = place.side != other.side
        meet = not beside or line.width + other_line.width > NARROWEST_PX
        if meet and abs(place.top_px - other.top_px) < ROW_PX - 0.5:
            cost += ON_LABEL
        if (place.top_px - other.top_px) * (line.y - other_line.y) < 0.0:
            cost += TURNED / (3.0 if beside else 1.0)
    return cost
