"""Glass nobody told is the thinnest sold that holds; told glass stays as it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from watervane.planning.blueprint.glazing import glazed
from watervane.planning.blueprint.panes import CUSTOM_MPA, TRADE_MM, panes_of
from watervane.planning.blueprint.whole import blueprint_of
from watervane.records import BlueprintWish, GlassBox

BOX = GlassBox(length_cm=80.0, width_cm=35.0, height_cm=40.0, measured="outside")


@pytest.mark.parametrize("sizes", [(80.0, 35.0, 40.0), (120.0, 50.0, 50.0), (20.0, 20.0, 20.0)])
def test_the_thinnest_sold_that_holds_is_planned(sizes: tuple[float, float, float]) -> None:
    length, width, height = sizes
    box = replace(BOX, length_cm=length, width_cm=width, height_cm=height)
    vessel = glazed(box)
    assert vessel.glass_assumed
    assert vessel.glass_mm in TRADE_MM
    assert panes_of(box, vessel)[0].stress_mpa <= CUSTOM_MPA
    thinner = [each for each in TRADE_MM if 6.0 <= each < vessel.glass_mm]
    for thick in thinner[-1:]:
        told = replace(box, glass_mm=thick)
        panes = panes_of(told, glazed(told))
        assert panes[0].stress_mpa > CUSTOM_MPA or not all(each.thin_plate for each in panes)


def test_plan_weight_and_list_have_the_same_glass() -> None:
    untold = blueprint_of(BlueprintWish("x", BOX))
    told = blueprint_of(BlueprintWish("x", replace(BOX, glass_mm=8.0)))
    assert untold.panes == told.panes
    assert untold.total_kg == told.total_kg
    (tank,) = [each for each in untold.shopping if each.key == "tank"]
    assert tank.arguments["glass_mm"] == 8.0
    assert "blueprint-glass-thin" not in {each.key for each in untold.findings}
    assert "stand" in {each.key for each in untold.shopping}


def test_told_glass_stays_however_thin() -> None:
    plan = blueprint_of(BlueprintWish("x", replace(BOX, glass_mm=4.0)))
    assert plan.panes[0].thickness_mm == 4.0
    assert "blueprint-glass-thin" in {each.key for each in plan.findings}
