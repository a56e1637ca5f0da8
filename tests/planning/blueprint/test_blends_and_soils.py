"""Two grains in one layer, and soils that bind lime: litres, mass, area, and how long they last."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.planning.blueprint.handover import tank_of
from watervane.planning.blueprint.packing import (
    blended_porosity,
    blended_porosity_between,
    one_grain_mm,
)
from watervane.planning.blueprint.whole import blueprint_of
from watervane.records import (
    BedLayer,
    BlendedIn,
    Blueprint,
    BlueprintWish,
    GlassBox,
    SourceWater,
    Wish,
)

BOX = GlassBox("rectangular", 60.0, 30.0, 36.0, glass_mm=6.0)
SHARES = st.floats(0.0, 1.0)
GAPS = st.floats(0.2, 0.7)


def planned(*layers: BedLayer, kh_dkh: float | None = None, **more: object) -> Blueprint:
    water = SourceWater(kh_dkh=kh_dkh, gh_dgh=4.0)
    wish = BlueprintWish("Study", BOX, layers=layers, source_water=water, **more)  # type: ignore[arg-type]
    return blueprint_of(wish)


def keys(plan: Blueprint) -> set[str]:
    return {each.key for each in plan.findings}


@given(coarse=GAPS, fine=GAPS, share=SHARES, ratio=SHARES)
def test_gaps_of_a_blend_lie_between_its_exact_ends(
    coarse: float, fine: float, share: float, ratio: float
) -> None:
    found = blended_porosity(coarse, fine, share, ratio)
    ends = blended_porosity_between(coarse, fine, share)
    assert ends.low - 1e-9 <= found <= ends.high + 1e-9


@given(coarse=GAPS, fine=GAPS, ratio=SHARES)
def test_a_blend_of_nothing_is_the_other_grain(coarse: float, fine: float, ratio: float) -> None:
    assert blended_porosity(coarse, fine, 0.0, ratio) == pytest.approx(coarse)
    assert blended_porosity(coarse, fine, 1.0, ratio) == pytest.approx(fine)


@given(gaps=GAPS, share=SHARES)
def test_grains_alike_fill_no_gaps(gaps: float, share: float) -> None:
    assert blended_porosity(gaps, gaps, share, 1.0) == pytest.approx(gaps)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.9])
def test_litres_mass_and_water_of_a_blend_add_up(share: float) -> None:
    """Every grain is in one of two parts; their solid is what the water lacks."""
    blended = planned(BedLayer("gravel", 4.0, 4.0, 4.0, BlendedIn("soil", share, 1.0)))
    gravel, soil = sorted(blended.bed.parts, key=lambda each: each.material)
    assert gravel.bulk_l + soil.bulk_l == pytest.approx(
        sum(each.bulk_l for each in planned(BedLayer("gravel", 4.0, 4.0)).bed.parts)
    )
    assert soil.mass_kg / (gravel.mass_kg + soil.mass_kg) == pytest.approx(share)
    solid = gravel.mass_kg / 2.65 + soil.mass_kg / 2.0
    assert blended.volumes.grains_l == pytest.approx(solid)
    assert blended.volumes.filled_l - blended.volumes.net_l == pytest.approx(solid)
    bed = next(each.mass_kg for each in blended.masses if each.part == "bed")
    assert bed == pytest.approx(gravel.mass_kg + soil.mass_kg)


def test_a_blend_holds_less_water_and_more_area_than_its_coarse_grain() -> None:
    alone = planned(BedLayer("gravel", 4.0, 4.0, 4.0))
    blended = planned(BedLayer("gravel", 4.0, 4.0, 4.0, BlendedIn("sand", 0.3, 1.0)))
    (blend,) = {part.blend for part in blended.bed.parts}
    assert blend is not None
    assert blend.fine_share == pytest.approx(0.3)  # of one density
    assert 0.16 < blend.porosity < 0.4
    assert blended.volumes.net_l < alone.volumes.net_l
    assert blended.bed.area_m2 > alone.bed.area_m2


def test_the_file_has_the_grain_that_offers_the_same_surface() -> None:
    plan = planned(BedLayer("gravel", 4.0, 4.0, 4.0, BlendedIn("sand", 0.3, 1.0)))
    blend = plan.bed.parts[0].blend
    assert blend is not None
    assert 1.0 / one_grain_mm(blend) == pytest.approx(0.7 / 4.0 + 0.3 / 1.0)
    bed = tank_of(plan, date(2026, 3, 1)).bed
    assert bed is not None
    assert (bed.material, bed.grain_mm) == ("gravel", 2.11)
    limed = planned(BedLayer("gravel", 4.0, 4.0, 4.0, BlendedIn("coral sand", 0.1)), kh_dkh=1.0)
    bed = tank_of(limed, date(2026, 3, 1)).bed
    assert bed is not None
    assert bed.material == "coral sand"
    assert limed.bed.kh_ceiling_dkh is not None


def test_grains_far_apart_are_told_to_part() -> None:
    close = BedLayer("gravel", 4.0, 4.0, 4.0, BlendedIn("sand", 0.3, 0.7))
    apart = BedLayer("gravel", 4.0, 4.0, 4.0, BlendedIn("sand", 0.3, 0.5))
    assert "blueprint-bed-parts-again" not in keys(planned(close))
    assert "blueprint-bed-parts-again" in keys(planned(apart))


def test_fine_grains_stirred_in_hold_a_fine_layer_back() -> None:
    over = BedLayer("sand", 2.0, 2.0, 0.5)
    assert "blueprint-bed-sifts" in keys(planned(BedLayer("gravel", 3.0, 3.0, 4.0), over))
    mixed = BedLayer("gravel", 3.0, 3.0, 4.0, BlendedIn("sand", 0.3, 1.0))
    assert "blueprint-bed-sifts" not in keys(planned(mixed, over))


def test_soil_lasts_as_long_as_its_acid_against_what_the_water_brings() -> None:
    plan = planned(BedLayer("soil", 3.0, 3.0), kh_dkh=5.0)
    soil = plan.bed.soil
    assert soil is not None
    assert soil.fills is not None
    assert soil.lasts_weeks is not None
    filling = plan.volumes.net_l * 5.0 * 0.35665
    assert soil.binds_meq.low == pytest.approx(26.0 * soil.mass_kg)
    assert soil.fills.high == pytest.approx(180.0 * soil.mass_kg / filling, rel=1e-3)
    weekly = (plan.upkeep.weekly_change_l or 0.0) * 5.0 * 0.35665
    assert filling + soil.lasts_weeks.low * weekly == pytest.approx(soil.binds_meq.low, rel=1e-3)


def test_soil_gives_no_hardness() -> None:
    soft, hard = (planned(BedLayer("soil", 3.0, 3.0), kh_dkh=kh).bed.soil for kh in (0.2, 12.0))
    assert soft is not None
    assert hard is not None
    assert soft.held_kh_dkh.high <= 0.2
    assert hard.held_kh_dkh.high < 12.0
    assert soft.fills is not None
    untold = planned(BedLayer("soil", 3.0, 3.0)).bed.soil
    assert untold is not None
    assert untold.fills is None


def test_soil_is_not_rinsed_and_its_ammonia_is_a_step() -> None:
    plan = planned(BedLayer("gravel", 2.0, 2.0), BedLayer("soil", 3.0, 3.0))
    assert plan.timeline is not None
    steps = {each.key: each for each in plan.timeline.steps}
    gravel = next(each for each in plan.bed.parts if each.material == "gravel")
    assert steps["rinse"].arguments["mass_kg"] == pytest.approx(gravel.mass_kg)
    assert steps["soil"].days.late == 42.0
    bare = planned(BedLayer("gravel", 2.0, 2.0))
    assert bare.timeline is not None
    assert "soil" not in {each.key for each in bare.timeline.steps}


@pytest.mark.parametrize(
    ("material", "species", "told"),
    [
        ("soil", "guppy", "blueprint-bed-soil-unsuited"),
        ("soil", "neon tetra", None),
        ("coral sand", "neon tetra", "blueprint-bed-lime-unsuited"),
        ("coral sand", "guppy", None),
    ],
)
def test_animals_that_want_another_water_than_the_bed_makes_are_named(
    material: str, species: str, told: str | None
) -> None:
    plan = planned(BedLayer(material, 3.0, 3.0), kh_dkh=2.0, animals=(Wish(species, 8),))
    found = {each for each in keys(plan) if each.endswith("-unsuited")}
    assert found == ({told} if told else set())


def test_one_grain_is_bought_once_in_whichever_layers_it_lies() -> None:
    """Its mass is that of all layers, and its size is told."""
    sand = BedLayer("sand", 2.0, 2.0)
    plan = planned(BedLayer("gravel", 2.0, 2.0, 4.0, BlendedIn("sand", 0.3)), sand)
    bought = [each for each in plan.shopping if each.key == "bed"]
    told = {each.arguments["material"]: each.arguments["grain_mm"] for each in bought}
    assert told == {"gravel": 4.0, "sand": 1.0}
    weighed = {part.material: 0.0 for part in plan.bed.parts}
    for part in plan.bed.parts:
        weighed[part.material] += part.mass_kg
    assert {e.arguments["material"]: e.arguments["mass_kg"] for e in bought} == pytest.approx(
        weighed
    )
