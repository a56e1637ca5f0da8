"""Areas, centres and volumes of any outline against plain numerical integration."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.blueprint.filling import (
    GLASS_KG_PER_L,
    bed_parts,
    masses_of,
    sloping_l,
    volumes_of,
)
from watervane.planning.blueprint.outline import (
    CrookedOutline,
    Outline,
    Side,
    checked,
    circle,
    points_on,
    polygon,
    regular,
)
from watervane.planning.blueprint.shapes import CannotPlan, vessel_of
from watervane.records import BedLayer, BlueprintWish, Decor, GlassBox

BOXES = st.one_of(
    st.builds(
        GlassBox,
        kind=st.just("rectangular"),
        length_cm=st.floats(20, 200),
        width_cm=st.floats(20, 80),
        height_cm=st.floats(25, 80),
        glass_mm=st.floats(4, 15),
        measured=st.sampled_from(["inside", "outside"]),
    ),
    st.builds(
        GlassBox,
        kind=st.just("cylinder"),
        length_cm=st.floats(20, 90),
        height_cm=st.floats(25, 80),
        glass_mm=st.floats(4, 15),
        measured=st.sampled_from(["inside", "outside"]),
    ),
    st.builds(
        GlassBox,
        kind=st.just("hexagon"),
        length_cm=st.floats(20, 90),
        height_cm=st.floats(25, 80),
        glass_mm=st.floats(4, 15),
        measured=st.sampled_from(["inside", "outside"]),
    ),
    st.builds(
        GlassBox,
        kind=st.just("bow front"),
        length_cm=st.floats(40, 150),
        width_cm=st.floats(25, 60),
        height_cm=st.floats(25, 80),
        bow_cm=st.floats(2, 15),
        glass_mm=st.floats(4, 15),
        measured=st.sampled_from(["inside", "outside"]),
    ),
    st.builds(
        GlassBox,
        kind=st.just("corner"),
        length_cm=st.floats(50, 90),
        width_cm=st.floats(50, 90),
        return_cm=st.floats(10, 30),
        bow_cm=st.floats(0, 8),
        height_cm=st.floats(25, 80),
        glass_mm=st.floats(4, 15),
        measured=st.sampled_from(["inside", "outside"]),
    ),
)


def rows(outline: Outline, count: int = 4000) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Thin strips from front to back: their middles, widths and height, by crossing the outline."""
    edges = []
    for chord in outline.chords():
        points = points_on(*chord, count=400)
        edges += list(itertools.pairwise(points))
    _, _, low, high = outline.extent_cm
    height = (high - low) / count
    middles = low + (np.arange(count) + 0.5) * height
    widths = np.zeros(count)
    for (x1, y1), (x2, y2) in edges:
        if y1 == y2:
            continue
        inside = (middles >= min(y1, y2)) & (middles < max(y1, y2))
        cut = x1 + (middles[inside] - y1) * (x2 - x1) / (y2 - y1)
        widths[inside] += cut * (1.0 if y2 > y1 else -1.0)
    return middles, widths, np.full(count, height)


@settings(max_examples=60, deadline=None)
@given(box=BOXES, front=st.floats(0, 6), back=st.floats(0, 12))
def test_area_centre_and_sloping_bed_are_what_integration_finds(box, front, back) -> None:
    inner = vessel_of(box).inner
    middles, widths, height = rows(inner)
    assert inner.area_cm2 == pytest.approx(float((widths * height).sum()), rel=1e-3)
    _, _, low, high = inner.extent_cm
    depth = front + (back - front) * (middles - low) / (high - low)
    bed = 1e-3 * float((widths * height * depth).sum())
    assert sloping_l(inner, front, back) == pytest.approx(bed, rel=2e-3, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(box=BOXES)
def test_glass_has_its_thickness_everywhere(box) -> None:
    """Any point of the inside stands at the panes' thickness from the nearest point outside."""
    vessel = vessel_of(box)
    outside = np.array(
        [p for chord in vessel.outer.chords() for p in _dense(chord, vessel.outer)], dtype=float
    )
    for chord in vessel.inner.chords():
        middle = _dense(chord, vessel.inner)[1500]
        near = np.hypot(*(outside - np.array(middle)).T).min()
        assert near == pytest.approx(0.1 * vessel.glass_mm, abs=0.01), chord


def _dense(chord, outline: Outline) -> list[tuple[float, float]]:
    if chord[2] != 0.0:
        return points_on(*chord, count=3000)
    (x1, y1), (x2, y2) = chord[0], chord[1]
    return [(x1 + (x2 - x1) * s / 3000.0, y1 + (y2 - y1) * s / 3000.0) for s in range(3001)]


@settings(max_examples=60, deadline=None)
@given(
    box=BOXES,
    depth=st.floats(0, 6),
    stones=st.floats(0, 3),
    braced=st.booleans(),
)
def test_mass_adds_up(box, depth, stones, braced) -> None:
    """Glass by difference, grains, stones and water fill the tank to its line, each once."""
    wish = BlueprintWish(
        "x",
        box,
        layers=(BedLayer("gravel", depth, 1.5 * depth),),
        decor=(Decor("stone", stones),),
        equipment_kg=2.0,
    )
    vessel = vessel_of(box)
    parts = bed_parts(wish, vessel)
    volumes = volumes_of(wish, vessel, parts)
    told = {part.part: part.mass_kg for part in masses_of(wish, vessel, volumes, parts)}
    space = volumes.net_l + told.get("bed", 0.0) / 2.65 + told.get("decor", 0.0) / 2.7
    assert space == pytest.approx(1e-3 * vessel.inner.area_cm2 * vessel.water_depth_cm, rel=1e-9)
    walls = vessel.outer.area_cm2 - vessel.inner.area_cm2
    floor = vessel.outer.area_cm2 * 0.1 * vessel.bottom_mm
    assert told["glass"] == pytest.approx(
        GLASS_KG_PER_L * 1e-3 * (walls * vessel.inner_height_cm + floor), rel=1e-9
    )
    assert told["water"] == pytest.approx(0.99705 * volumes.net_l, rel=1e-4)


def test_exact_areas() -> None:
    assert circle(40.0).area_cm2 == pytest.approx(math.pi * 400.0)
    assert circle(40.0).perimeter_cm == pytest.approx(math.pi * 40.0)
    assert regular(6, 30.0).area_cm2 == pytest.approx(2.0 * math.sqrt(3.0) * 15.0**2)
    half = Outline((Side(0, 0, 20.0), Side(40.0, 0), Side(40.0, 10.0), Side(0, 10.0)))
    assert half.area_cm2 == pytest.approx(400.0 + 0.5 * math.pi * 400.0)


def test_clockwise_corners_are_turned_round() -> None:
    corners = [(0.0, 0.0), (0.0, 30.0), (60.0, 30.0), (60.0, 0.0)]
    assert checked(polygon(corners)).area_cm2 == pytest.approx(1800.0)


@pytest.mark.parametrize(
    ("box", "key"),
    [
        (GlassBox(length_cm=60.0, height_cm=36.0), "blueprint-missing"),
        (GlassBox(kind="bowl", length_cm=30.0), "blueprint-kind"),
        (GlassBox("cube", 30.0, width_cm=40.0), "blueprint-no-cube"),
        (GlassBox(length_cm=60.0, width_cm=-3.0, height_cm=36.0), "blueprint-no-size"),
        (
            GlassBox(
                length_cm=3.0, width_cm=30.0, height_cm=30.0, glass_mm=19.0, measured="outside"
            ),
            "blueprint-glass-fills",
        ),
        (
            GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, water_depth_cm=40.0),
            "blueprint-depth-above",
        ),
        (
            GlassBox("polygon", height_cm=30.0, corners_cm=((0, 0), (30, 30), (30, 0), (0, 30))),
            "blueprint-outline",
        ),
        (GlassBox("polygon", height_cm=30.0, corners_cm=((0, 0), (30, 30))), "blueprint-corners"),
    ],
)
def test_contradictions_are_named(box: GlassBox, key: str) -> None:
    with pytest.raises(CannotPlan) as caught:
        vessel_of(box)
    assert key in [problem.key for problem in caught.value.problems]


def test_an_inset_that_leaves_nothing_is_refused() -> None:
    with pytest.raises(CrookedOutline):
        circle(2.0).inset(1.5)


def test_a_bed_above_the_water_is_refused() -> None:
    box = GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0)
    wish = BlueprintWish("x", box, layers=(BedLayer("sand", 5.0, 35.0),))
    vessel = vessel_of(box)
    with pytest.raises(CannotPlan) as caught:
        volumes_of(wish, vessel, bed_parts(wish, vessel))
    assert caught.value.problems[0].key == "blueprint-bed-above"
