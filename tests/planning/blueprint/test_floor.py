"""A strip of floor against statics done by cutting it into slices."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.blueprint.floor import (
    ENGINEER_KG,
    floor_plan,
    floor_share,
    joist_width_m,
    slab_width_m,
    strip_bending,
)
from watervane.planning.blueprint.shapes import vessel_of
from watervane.records import GlassBox, RoomFloor

TANK = vessel_of(
    GlassBox(length_cm=120.0, width_cm=50.0, height_cm=60.0, glass_mm=12.0, measured="outside")
)


@settings(max_examples=100, deadline=None)
@given(
    span=st.floats(2.0, 7.0),
    where=st.floats(0.0, 1.0),
    share=st.floats(0.05, 1.0),
    load=st.floats(0.0, 9.0),
    elsewhere=st.floats(0.0, 2.0),
)
def test_moment_and_shear_of_a_strip(span, where, share, load, elsewhere) -> None:
    loaded = share * span
    begin = where * (span - loaded)
    moment, shear = strip_bending(span, begin, loaded, load, elsewhere)
    x = (np.arange(20_000) + 0.5) * span / 20_000
    q = np.where((x >= begin) & (x <= begin + loaded), load, elsewhere)
    slices = q * span / 20_000
    near = float((slices * (span - x)).sum() / span)
    running = np.cumsum(slices)
    moments = near * x - np.cumsum(running) * span / 20_000
    assert moment == pytest.approx(float(moments.max()), rel=2e-3, abs=2e-3)
    assert shear == pytest.approx(max(near, float(slices.sum()) - near), rel=2e-3, abs=2e-3)


def test_handbook_cases() -> None:
    """Evenly loaded beam q l^2/8 and q l/2; a short load in the middle comes near P l/4."""
    assert strip_bending(4.0, 0.0, 4.0, 2.0, 2.0) == pytest.approx((4.0, 4.0))
    moment, shear = strip_bending(4.0, 1.995, 0.01, 1000.0, 0.0)
    assert moment == pytest.approx(10.0, rel=2e-3)
    assert shear == pytest.approx(5.0)


def test_a_floor_full_of_its_design_load_is_used_up() -> None:
    floor = RoomFloor("timber", span_cm=400.0, wall_gap_cm=0.0)
    strip = joist_width_m(0.5, 0.4)
    used = floor_share(floor, 2.0 * strip * 4.0, (4.0, 0.5), "along-at-wall")
    assert used.bending_share == pytest.approx(1.0)
    assert used.shear_share == pytest.approx(1.0)


def test_near_the_wall_and_across_joists_bears_more() -> None:
    plan = floor_plan(RoomFloor("timber", span_cm=400.0), TANK, 450.0)
    bent = {share.placing: share.bending_share for share in plan.shares}
    assert bent["across-at-wall"] < bent["along-at-wall"] < bent["along-in-the-middle"]
    assert bent["across-at-wall"] < bent["across-in-the-middle"]
    # Pressed harder than the design load on its own footprint, and yet borne: why no one figure
    # of load tells.
    assert plan.pressure_kpa > 3.0 * plan.design_kpa
    assert bent["across-at-wall"] < 1.0


def test_an_engineer_is_asked_above_a_mass_and_never_for_bare_ground() -> None:
    heavy = floor_plan(RoomFloor("concrete", span_cm=500.0), TANK, ENGINEER_KG + 1.0)
    light = floor_plan(RoomFloor("concrete", span_cm=400.0), TANK, 60.0)
    assert heavy.engineer
    assert not light.engineer
    ground = floor_plan(RoomFloor("ground"), TANK, 900.0)
    assert not ground.engineer
    assert ground.shares == ()


def test_width_of_a_slab() -> None:
    """bs8110_slabs: 1.2 x (1 - x/l) to either side; 1 m from the support of 4 m: 0.9 m each."""
    assert slab_width_m(0.5, 1.0, 4.0) == pytest.approx(0.5 + 2 * 0.9)
