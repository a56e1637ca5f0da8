"""The drawing of a planned tank is to scale, tells itself in words, and takes any outline."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.app.section_pictures import section_picture
from watervane.charts.tank_section import section_svg
from watervane.planning.blueprint.section import stretches_cm
from watervane.planning.blueprint.shapes import vessel_of
from watervane.planning.blueprint.whole import blueprint_of
from watervane.records import BedLayer, Blueprint, BlueprintWish, GlassBox, RoomFloor, Wish

SVG = "{http://www.w3.org/2000/svg}"
NEAR_PX = 0.021  # coordinates are written to a hundredth
SHAPES = {
    "rectangular": {"length_cm": 60.0, "width_cm": 30.0, "height_cm": 36.0},
    "cube": {"length_cm": 35.0},
    "cylinder": {"length_cm": 40.0, "height_cm": 45.0},
    "hexagon": {"length_cm": 50.0, "height_cm": 55.0},
    "bow front": {"length_cm": 90.0, "width_cm": 35.0, "height_cm": 45.0, "bow_cm": 8.0},
    "corner": {"length_cm": 70.0, "width_cm": 70.0, "height_cm": 50.0, "return_cm": 25.0},
    "polygon": {
        "height_cm": 40.0,
        "corners_cm": ((0.0, 0.0), (80.0, 0.0), (80.0, 30.0), (50.0, 30.0), (50.0, 60.0),
                       (0.0, 60.0)),
    },
}  # fmt: skip


def planned(box: GlassBox, **more: object) -> Blueprint:
    return blueprint_of(BlueprintWish("Study", box, **more))


def read(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def parts(svg: str, view: str) -> dict[str, list[ET.Element]]:
    found: dict[str, list[ET.Element]] = {}
    for group in read(svg).iter(f"{SVG}g"):
        if group.get("data-view") == view:
            for each in group:
                if each.get("data-part"):
                    found.setdefault(str(each.get("data-part")), []).append(each)
    return found


def number(each: ET.Element, name: str) -> float:
    return float(str(each.get(name)))


def points(each: ET.Element) -> list[tuple[float, float]]:
    found = [place.split(",") for place in str(each.get("points")).split()]
    return [(float(x), float(y)) for x, y in found]


@settings(deadline=None, max_examples=60)
@given(
    length=st.floats(15, 300),
    width=st.floats(12, 120),
    height=st.floats(15, 120),
    glass=st.floats(3, 19),
    front=st.floats(0, 4),
    back=st.floats(0, 6),
    grown=st.floats(1, 60),
    narrow=st.booleans(),
)
def test_everything_is_drawn_at_one_scale(
    length: float,
    width: float,
    height: float,
    glass: float,
    front: float,
    back: float,
    grown: float,
    narrow: bool,
) -> None:
    box = GlassBox("rectangular", length, width, height, glass_mm=glass, measured="outside")
    plan = planned(
        box, layers=(BedLayer("gravel", front, back),), animals=(Wish("Danio rerio", 3, grown),)
    )
    picture = section_picture(plan)
    svg = section_svg(picture, "a", narrow=narrow)
    along, across = parts(svg, "along"), parts(svg, "across")
    (measured,) = along["length"]
    scale = (number(measured, "x2") - number(measured, "x1")) / length

    def same(drawn_px: float, told_cm: float) -> None:
        assert drawn_px == pytest.approx(scale * told_cm, abs=NEAR_PX * (1 + told_cm / length))

    for view, reach in ((along, length), (across, width)):
        (bottom,) = view["bottom"]
        same(number(bottom, "width"), reach)
        same(number(bottom, "height"), 0.1 * glass)
        first, last = sorted(view["wall"], key=lambda wall: number(wall, "x"))
        for wall in (first, last):
            same(number(wall, "width"), 0.1 * glass)
            same(number(wall, "height"), height)
        same(number(last, "x") - number(first, "x"), reach - 0.1 * glass)
        (line,) = view["water-line"]
        foot = number(bottom, "y")
        same(foot - number(line, "y1"), plan.section.water_depth_cm)
        same(number(line, "x2") - number(line, "x1"), reach - 0.2 * glass)
    (bed,) = across["bed-0"]
    lower_left, lower_right, upper_right, upper_left = points(bed)
    same(lower_left[1] - upper_left[1], front)
    same(lower_right[1] - upper_right[1], back)
    (level,) = along["bed-0"]
    same(points(level)[0][1] - points(level)[3][1], 0.5 * (front + back))
    same(number(across["width"][0], "x2") - number(across["width"][0], "x1"), width)
    same(number(along["height"][0], "y1") - number(along["height"][0], "y2"), height)
    (bar,) = parts(svg, "ruler")["adult-0"]
    same(number(bar, "x2") - number(bar, "x1"), picture.adults[0].length_cm)
    (wall,) = across["house-wall"]
    same(number(wall, "x1") - number(across["bottom"][0], "x") - scale * width, 5.0)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("narrow", [False, True])
def test_any_outline_stays_on_its_sheet(shape: str, narrow: bool) -> None:
    box = GlassBox(shape, glass_mm=8.0, **SHAPES[shape])
    plan = planned(box, animals=(Wish("Carassius auratus", 1, 20.0),))
    svg = section_svg(section_picture(plan), "a", narrow=narrow)
    root = read(svg)
    wide, high = float(str(root.get("width"))), float(str(root.get("height")))
    for each in root.iter():
        for name, most in (("x", wide), ("x1", wide), ("x2", wide), ("y", high), ("y1", high),
                           ("y2", high)):  # fmt: skip
            if each.get(name):
                assert -0.01 <= number(each, name) <= most + 0.01, (each.tag, each.attrib)
        if each.get("points"):
            assert all(-0.01 <= x <= wide and -0.01 <= y <= high for x, y in points(each))


def test_a_cut_through_a_notched_floor_meets_its_walls_where_they_are() -> None:
    vessel = vessel_of(GlassBox("polygon", glass_mm=10.0, **SHAPES["polygon"]))
    assert stretches_cm(vessel.inner, 1, 10.0) == (pytest.approx((0.0, 80.0)),)
    assert stretches_cm(vessel.inner, 1, 45.0) == (pytest.approx((0.0, 50.0)),)
    assert stretches_cm(vessel.outer, 1, 10.0) == (pytest.approx((-1.0, 81.0)),)
    two = vessel_of(
        GlassBox(
            "polygon",
            height_cm=30.0,
            glass_mm=5.0,
            corners_cm=((0, 0), (90, 0), (90, 50), (60, 50), (60, 20), (30, 20), (30, 50), (0, 50)),
        )
    )
    assert stretches_cm(two.inner, 1, 40.0) == (
        pytest.approx((0.0, 30.0)),
        pytest.approx((60.0, 90.0)),
    )


def test_a_round_tank_is_cut_at_its_diameter() -> None:
    vessel = vessel_of(GlassBox("cylinder", length_cm=40.0, height_cm=45.0, glass_mm=5.0))
    ((low, high),) = stretches_cm(vessel.inner, 1, 0.0)
    assert high - low == pytest.approx(40.0, rel=1e-3)


def test_it_tells_itself_to_who_cannot_see_it() -> None:
    box = GlassBox("rectangular", 60.0, 30.0, 36.0, glass_mm=6.0, measured="outside")
    plan = planned(box, animals=(Wish("Danio rerio", 6), Wish("Gleephus nobodyi", 2)))
    svg = section_svg(section_picture(plan), "first")
    root = read(svg)
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "first-title first-desc"
    title, told = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert told is not None
    assert (title.get("id"), told.get("id")) == ("first-title", "first-desc")
    said = str(told.text)
    for words in ("60 cm long", "30 cm wide", "36 cm high", "gravel, 3 cm deep", "kg in all",
                  "Danio rerio", "not in our tables"):  # fmt: skip
        assert words in said
    assert "#" not in svg.replace("url(#", "")  # no colour of its own: paper and ink are the page's


def test_a_frame_bears_at_the_edges_and_a_ground_floor_needs_no_wall() -> None:
    box = GlassBox("rectangular", 60.0, 30.0, 36.0, full_support=False)
    plan = planned(box, floor=RoomFloor(kind="ground"))
    svg = section_svg(section_picture(plan), "a")
    assert "house-wall" not in svg
    assert "stand-top" not in svg
    assert "along the frame alone" in svg


def test_words_from_a_keeper_stay_words() -> None:
    box = GlassBox("rectangular", 60.0, 30.0, 36.0)
    plan = blueprint_of(BlueprintWish("<script>", box, animals=(Wish('"><b onload=x>', 1, 3.0),)))
    svg = section_svg(section_picture(plan), "a")
    assert "<script" not in svg
    assert "<b" not in svg
