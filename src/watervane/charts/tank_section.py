"""A planned tank cut open, to scale: glass, bed, water line, stand, floor, and adult lengths.

Seen from the front and from the side at one scale. The stand is drawn broken, as its height is not
told; the floor and what lies under it are signs, not sizes.
"""

from __future__ import annotations

from dataclasses import dataclass

from watervane.charts.ink import BOLD, THIN, USUAL, Ink, Place
from watervane.records import TankCut, TankSection

STAND_PX, FLOOR_PX = 44.0, 12.0
ABOVE_PX, UNDER_PX = 44.0, 50.0  # room for words over the rim and under the floor
RULED_PX = 34.0  # of height for each kind of animal
LEFT_PX, BETWEEN_PX, RIGHT_PX = 34.0, 84.0, 60.0
WIDE_PX, NARROW_PX = 640.0, 320.0
HIGHEST_PX, MOST_PX_PER_CM = 300.0, 9.0
LETTER_PX = 7.0  # of width for each letter, about


@dataclass(frozen=True, slots=True)
class RuledLength:
    """The adult length of a kind of animal, and what is written at it."""

    label: str
    length_cm: float


@dataclass(frozen=True, slots=True)
class SectionPicture:
    """A section and every word on it."""

    section: TankSection
    title: str
    description: str
    along: str  # heading of the view from the front
    across: str
    length: str
    width: str
    height: str
    water: str
    depth: str  # the same in fewer words, where there is little room
    stand: str
    lines: tuple[str, ...]  # written under the floor
    wall: str  # behind the tank; empty where the floor needs none to carry it
    wall_gap_cm: float
    frame: bool  # whether a frame alone carries the bottom
    to_floor: bool  # whether what is under it is known to take the load down to the floor
    ruler: str
    adults: tuple[RuledLength, ...] = ()


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where the parts of a drawing go: pixels a centimetre, and the size of it all."""

    scale: float
    width: float
    height: float
    along: Place  # left end and lower edge of the glass, from the front
    across: Place
    ruler: Place


def section_svg(picture: SectionPicture, name: str, *, narrow: bool = False) -> str:
    """Draw a section.

    Parameters
    ----------
    picture
        What to draw.
    name
        Begins the ids of this drawing.
    narrow
        For a phone: one view over the other.
    """
    sheet = _sheet(picture, narrow=narrow)
    ink = Ink(sheet.width, sheet.height, name, picture.title, picture.description)
    section = picture.section
    ink.view("along")
    _tank(ink, sheet, section, section.along, sheet.along)
    _bed_along(ink, sheet, picture)
    _sizes_along(ink, sheet, picture)
    _carried(ink, sheet, picture, section.along, sheet.along)
    ink.view("across")
    _tank(ink, sheet, section, section.across, sheet.across)
    _bed_across(ink, sheet, picture)
    _sizes_across(ink, sheet, picture)
    _carried(ink, sheet, picture, section.across, sheet.across)
    _wall(ink, sheet, picture)
    ink.view("words")
    top = sheet.along[1] + STAND_PX + FLOOR_PX + 18.0
    if narrow:
        top = sheet.across[1] + STAND_PX + FLOOR_PX + 18.0
    for index, line in enumerate(picture.lines):
        ink.words((0.0, top + 17.0 * index), line)
    if picture.adults:
        ink.view("ruler")
        _ruler(ink, sheet, picture)
    return ink.text()


def _sheet(picture: SectionPicture, *, narrow: bool) -> _Sheet:
    section = picture.section
    length, width = _reach(section.along), _reach(section.across)
    behind = picture.wall_gap_cm if picture.wall else 0.0
    sheet_px = NARROW_PX if narrow else WIDE_PX
    adult = max((each.length_cm for each in picture.adults), default=0.0)
    fixed = LEFT_PX + RIGHT_PX + (0.0 if narrow else BETWEEN_PX)
    cm = max(length, width + behind) if narrow else length + width + behind
    scale = min((sheet_px - fixed) / cm, HIGHEST_PX / section.outer_height_cm, MOST_PX_PER_CM)
    if adult:
        scale = min(scale, (sheet_px - 8.0) / adult)
    tall = scale * section.outer_height_cm
    foot = ABOVE_PX + tall
    block = foot + STAND_PX + FLOOR_PX
    along = (LEFT_PX, foot)
    across = (
        (LEFT_PX, block + 14.0 + foot) if narrow else (LEFT_PX + scale * length + BETWEEN_PX, foot)
    )
    under = across[1] + STAND_PX + FLOOR_PX + 10.0 + 17.0 * len(picture.lines)
    ruled = 32.0 + RULED_PX * len(picture.adults) if picture.adults else 0.0
    return _Sheet(scale, sheet_px, under + ruled + 4.0, along, across, (4.0, under + 26.0))


def _reach(cut: TankCut) -> float:
    return max(high for _, high in cut.outer_cm) if cut.outer_cm else 0.0


def _tank(ink: Ink, sheet: _Sheet, section: TankSection, cut: TankCut, foot: Place) -> None:
    """Bottom, walls and water line."""
    x, y = foot
    s = sheet.scale
    bottom = 0.1 * section.bottom_mm
    for low, high in cut.outer_cm:
        ink.block((x + s * low, y), (x + s * high, y - s * bottom), "bottom")
    rim = y - s * section.outer_height_cm
    faces = [(low, "start") for low, _ in cut.inner_cm] + [
        (high, "end") for _, high in cut.inner_cm
    ]
    for face, side in faces:
        outside = _outer_face(cut, face, side)
        ink.block((x + s * outside, y), (x + s * face, rim), "wall")
    line = y - s * (bottom + section.water_depth_cm)
    for low, high in cut.inner_cm:
        left, right = x + s * low, x + s * high
        ink.line((left, line), (right, line), USUAL, "water-line", "water")
        mark = left + 0.72 * (right - left)
        ink.shape([(mark - 5.0, line - 8.0), (mark + 5.0, line - 8.0), (mark, line)])
        for index in (1, 2):
            half = 6.0 - 2.5 * index
            below = line + 3.5 * index
            ink.line((mark - half, below), (mark + half, below), THIN)


def _outer_face(cut: TankCut, face: float, side: str) -> float:
    """The outer face of the wall whose inner face is there."""
    if side == "start":
        return max(low for low, _ in cut.outer_cm if low <= face + 1e-9)
    return min(high for _, high in cut.outer_cm if high >= face - 1e-9)


def _bed_along(ink: Ink, sheet: _Sheet, picture: SectionPicture) -> None:
    """Layers as the cut through the middle meets them: level, half way up their slope."""
    section = picture.section
    levels = [0.5 * (each.front_cm + each.back_cm) for each in section.slopes]
    for low, high in section.along.inner_cm:
        _layers(ink, sheet, sheet.along, (low, high), [(each, each) for each in levels], section)


def _bed_across(ink: Ink, sheet: _Sheet, picture: SectionPicture) -> None:
    """Layers with their slope, front on the left."""
    section = picture.section
    reach = section.floor_back_cm - section.floor_front_cm

    def depth(front: float, back: float, at: float) -> float:
        return front + (back - front) * (at - section.floor_front_cm) / reach

    for low, high in section.across.inner_cm:
        ends = [
            (depth(each.front_cm, each.back_cm, low), depth(each.front_cm, each.back_cm, high))
            for each in section.slopes
        ]
        _layers(ink, sheet, sheet.across, (low, high), ends, section)


def _layers(
    ink: Ink,
    sheet: _Sheet,
    foot: Place,
    stretch: tuple[float, float],
    ends: list[tuple[float, float]],
    section: TankSection,
) -> None:
    s = sheet.scale
    left, right = foot[0] + s * stretch[0], foot[0] + s * stretch[1]
    under = [foot[1] - 0.1 * s * section.bottom_mm] * 2
    for index, (first, last) in enumerate(ends):
        over = [under[0] - s * first, under[1] - s * last]
        fill = ink.dots(f"bed-{foot[1]:.0f}-{foot[0]:.0f}-{left:.0f}-{index}", *_stipple(index))
        outline = [(left, under[0]), (right, under[1]), (right, over[1]), (left, over[0])]
        ink.shape(outline, f"bed-{index}", fill)
        under = over


def _stipple(index: int) -> tuple[float, float]:
    return ((1.1, 7.0), (0.7, 4.5), (1.5, 9.0))[index % 3]


def _sizes_along(ink: Ink, sheet: _Sheet, picture: SectionPicture) -> None:
    x, y = sheet.along
    s, section = sheet.scale, picture.section
    rim = y - s * section.outer_height_cm
    right = x + s * _reach(section.along)
    ink.words((x, rim - 28.0), picture.along)
    ink.measure((x, rim - 8.0), (right, rim - 8.0), picture.length, "length")
    ink.measure((x - 12.0, y), (x - 12.0, rim), picture.height, "height")
    floor = y - 0.1 * s * section.bottom_mm
    line = floor - s * section.water_depth_cm
    fits = floor - line >= LETTER_PX * len(picture.water)
    told = picture.water if fits else picture.depth
    ink.measure((right + 22.0, floor), (right + 22.0, line), told, "water-depth")


def _sizes_across(ink: Ink, sheet: _Sheet, picture: SectionPicture) -> None:
    x, y = sheet.across
    s, section = sheet.scale, picture.section
    rim = y - s * section.outer_height_cm
    right = x + s * _reach(section.across)
    ink.words((x, rim - 28.0), picture.across)
    ink.measure((x, rim - 8.0), (right, rim - 8.0), picture.width, "width")


def _carried(ink: Ink, sheet: _Sheet, picture: SectionPicture, cut: TankCut, foot: Place) -> None:
    """Stand, broken; floor; and the way the load takes down to it."""
    x, y = foot
    s = sheet.scale
    left, right = x, x + s * _reach(cut)
    top, floor = y + 5.0, y + STAND_PX
    ends = (left + 2.0, right - 2.0) if picture.to_floor else ()
    if not picture.frame:
        ink.block((left - 2.0, y + 1.0), (right + 2.0, top), "stand-top", filled=False)
    for at in ends:
        middle = 0.5 * (top + floor)
        ink.line((at, top if not picture.frame else y), (at, middle - 4.0), BOLD)
        ink.line((at, middle + 4.0), (at, floor), BOLD)
        for shift in (-4.0, 4.0):
            ink.stroke([(at - 6.0, middle + shift + 2.0), (at + 6.0, middle + shift - 2.0)], THIN)
    shares = (0.06, 0.94) if picture.frame else (0.25, 0.5, 0.75)
    for share in shares if picture.to_floor else ():
        at = left + share * (right - left)
        ink.arrow((at, top + 3.0), (at, floor - 1.0))
    ink.line((left - 16.0, floor), (right + 16.0, floor), BOLD, "floor")
    ink.hatch((left - 16.0, floor + 1.0), (right + 16.0, floor + FLOOR_PX))
    if foot == sheet.along:
        ink.words((right + 8.0, 0.5 * (top + floor) + 5.0), picture.stand)


def _wall(ink: Ink, sheet: _Sheet, picture: SectionPicture) -> None:
    """The wall behind the tank that carries the floor."""
    if not picture.wall:
        return
    x, y = sheet.across
    s, section = sheet.scale, picture.section
    at = x + s * (_reach(section.across) + picture.wall_gap_cm)
    rim, floor = y - s * section.outer_height_cm, y + STAND_PX
    ink.line((at, rim), (at, floor), BOLD, "house-wall")
    ink.hatch((at + 1.0, rim), (at + 9.0, floor))
    ink.words((at + 24.0, 0.5 * (rim + y)), picture.wall, "middle", upright=True)


def _ruler(ink: Ink, sheet: _Sheet, picture: SectionPicture) -> None:
    """Adult lengths, each a bar between two ticks at the scale of the tank."""
    x, y = sheet.ruler
    ink.words((0.0, y), picture.ruler)
    for index, each in enumerate(picture.adults):
        at = y + 20.0 + RULED_PX * index
        end = x + sheet.scale * each.length_cm
        ink.words((0.0, at), each.label)
        bar = at + 9.0
        ink.line((x, bar), (end, bar), BOLD, f"adult-{index}")
        for tick in (x, end):
            ink.line((tick, bar - 4.0), (tick, bar + 4.0), THIN)
