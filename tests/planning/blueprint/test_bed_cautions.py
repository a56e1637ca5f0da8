"""Beds that slide, sift through each other or take up KH say so."""

from __future__ import annotations

import pytest

from watervane.planning.blueprint.bed_cautions import sifts_through
from watervane.planning.blueprint.whole import blueprint_of
from watervane.records import BedLayer, Blueprint, BlueprintWish, GlassBox, SourceWater

BOX = GlassBox("rectangular", 60.0, 30.0, 36.0, glass_mm=6.0)


def planned(*layers: BedLayer, kh_dkh: float | None = None) -> Blueprint:
    water = SourceWater(kh_dkh=kh_dkh)
    return blueprint_of(BlueprintWish("Study", BOX, layers=layers, source_water=water))


def found(plan: Blueprint, key: str) -> list[dict[str, object]]:
    return [dict(each.arguments) for each in plan.findings if each.key == key]


@pytest.mark.parametrize(("rise", "slides"), [(0.0, False), (17.2, False), (17.5, True)])
def test_a_bed_steeper_than_grains_lie_is_told(rise: float, slides: bool) -> None:
    """Over 30 cm of floor 30 degrees are a rise of 17.32 cm."""
    assert (
        bool(found(planned(BedLayer("gravel", 2.0, 2.0 + rise)), "blueprint-bed-steep")) == slides
    )


@pytest.mark.parametrize(
    ("lower", "upper", "told"), [(3.0, 0.5, True), (3.0, 0.7, False), (0.5, 3.0, False)]
)
def test_a_fine_layer_on_a_coarse_one_sifts_into_its_gaps(
    lower: float, upper: float, told: bool
) -> None:
    assert sifts_through(lower, upper) == told
    plan = planned(BedLayer("gravel", 3.0, 3.0, lower), BedLayer("sand", 2.0, 2.0, upper))
    sifted = found(plan, "blueprint-bed-sifts")
    assert bool(sifted) == told
    if told:  # gaps of 5.4 L of gravel are 2.16 L, and of sand there are 3.6 L
        assert sifted[0]["lost_l"] == pytest.approx(0.4 * 5.4)


def test_gaps_take_no_more_than_there_is() -> None:
    plan = planned(BedLayer("gravel", 8.0, 8.0, 6.0), BedLayer("sand", 0.5, 0.5, 0.5))
    assert found(plan, "blueprint-bed-sifts")[0]["lost_l"] == pytest.approx(0.9)


def test_soil_is_told_with_the_fillings_it_takes_up() -> None:
    assert found(planned(BedLayer("soil", 3.0, 3.0)), "blueprint-bed-soil")
    plan = planned(BedLayer("soil", 3.0, 3.0), kh_dkh=5.0)
    (told,) = found(plan, "blueprint-bed-soil-kh")
    assert plan.bed.soil is not None
    assert plan.bed.soil.fills is not None
    assert told["fills_low"] == plan.bed.soil.fills.low
    assert not found(planned(BedLayer("gravel", 3.0, 3.0)), "blueprint-bed-soil")
