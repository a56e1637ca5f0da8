"""Heat, filter and oxygen of a plan: balances that must close and directions that must hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.blueprint.breath import gas_transfer_rates
from watervane.planning.blueprint.filters import areal_rate_mg_n_per_m2_d
from watervane.planning.blueprint.handover import tank_of
from watervane.planning.blueprint.heating import loss_of, trade_size_w
from watervane.planning.blueprint.panes import TRADE_MM
from watervane.planning.blueprint.shapes import CannotPlan, vessel_of
from watervane.planning.blueprint.whole import blueprint_of
from watervane.records import BedLayer, BlueprintWish, GlassBox, RoomFloor, Wish

BOX = GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, glass_mm=6.0, measured="outside")
WISH = BlueprintWish("Reading room", BOX, animals=(Wish("Danio rerio", 10, 4.0),), machines_w=5.0)


def test_a_resting_temperature_loses_what_it_is_given() -> None:
    plan = blueprint_of(WISH)
    vessel = vessel_of(BOX)

    def lost(water: float, room: float, *, lid: bool = True) -> float:
        return float(loss_of(WISH, vessel, water, room, lid=lid).total_w)

    heat = plan.heat
    assert lost(heat.one_stuck_c, 28.0) == pytest.approx(heat.heater_w + 5.0, abs=1e-6)
    assert lost(heat.two_stuck_c, 28.0) == pytest.approx(heat.half_heater_w + 5.0, abs=1e-6)
    assert lost(heat.one_failed_c, 17.0) == pytest.approx(5.0, abs=1e-6)
    assert lost(heat.unheated_open_c, 28.0, lid=False) == pytest.approx(5.0, abs=1e-6)
    assert heat.duty * heat.heater_w == pytest.approx(lost(25.0, 17.0) - 5.0)
    assert heat.two_stuck_c < heat.one_stuck_c
    assert heat.one_failed_c < heat.two_failed_c <= 25.0
    assert 2 * heat.half_heater_w * 0.75 >= lost(25.0, 17.0) - 5.0


def test_a_year_of_one_temperature_is_its_power_times_a_year() -> None:
    even = replace(WISH, coldest_c=20.0, warmest_c=20.0, price_per_kwh=0.30)
    heat = blueprint_of(even).heat
    lost = float(loss_of(even, vessel_of(BOX), 25.0, 20.0, lid=True).total_w)
    assert heat.energy_kwh_per_year == pytest.approx(8.76 * (lost - 5.0), rel=1e-9)
    assert heat.cost_per_year == pytest.approx(0.30 * heat.energy_kwh_per_year)
    assert heat.energy_other_lid_kwh_per_year > heat.energy_kwh_per_year


@settings(max_examples=40, deadline=None)
@given(
    food=st.floats(0.02, 3.0),
    target=st.floats(0.1, 2.0),
    water=st.floats(10.0, 30.0),
    protein=st.floats(0.2, 0.6),
)
def test_media_take_what_food_leaves(food, target, water, protein) -> None:
    """Area times rate is the day's ammonia; the flow brings three times what is taken."""
    wish = replace(
        WISH,
        animals=(),
        food_g_per_d=food,
        protein=protein,
        target_ammonia_mg_n_per_l=target,
        water_c=water,
    )
    sieve = blueprint_of(wish).filter
    load = 92.0 * protein * food
    rate = areal_rate_mg_n_per_m2_d(target, water)
    assert sieve.area_m2.low * rate.high == pytest.approx(load)
    assert sieve.area_m2.high * rate.low == pytest.approx(load)
    assert sieve.media_l.low == pytest.approx(sieve.area_m2.low / 1.3)  # sponge, 1300 m2/m3
    assert sieve.media_l.high == pytest.approx(sieve.area_m2.high / 0.6)
    assert 24.0 * sieve.ammonia_flow_l_per_h * target / 3.0 == pytest.approx(load)


def test_air_needed_brings_oxygen_to_the_level_wanted() -> None:
    crowded = replace(WISH, animals=(Wish("goldfish", 4, 12.0),), plants="many")
    plan = blueprint_of(crowded)
    assert plan.oxygen.stirred_mg_per_l < plan.oxygen.wanted_mg_per_l
    assert "blueprint-air-short" in [each.key for each in plan.findings]
    aired = blueprint_of(replace(crowded, air_flow_l_per_h=plan.oxygen.air_needed_l_per_h))
    assert aired.oxygen.stirred_mg_per_l == pytest.approx(aired.oxygen.wanted_mg_per_l, abs=1e-6)


def test_more_air_never_takes_oxygen_away() -> None:
    rates = [gas_transfer_rates(0.3, 60.0, air, (28.0, 0.9))[1] for air in (0.0, 30.0, 90.0)]
    assert rates == sorted(rates)


def test_a_label_says_nothing_the_media_do() -> None:
    small = blueprint_of(replace(WISH, media_l=0.02, flow_l_per_h=300.0))
    large = blueprint_of(replace(WISH, media_l=5.0, flow_l_per_h=300.0))
    assert small.filter.enough is False
    assert "blueprint-filter-small" in [each.key for each in small.findings]
    assert large.filter.enough is True


def test_limestone_lifts_hardness_and_quartz_does_not() -> None:
    assert blueprint_of(WISH).bed.kh_ceiling_dkh is None
    reef = blueprint_of(replace(WISH, layers=(BedLayer("coral sand", 3.0, 5.0),)))
    assert reef.bed.kh_ceiling_dkh is not None
    assert 2.0 < reef.bed.kh_ceiling_dkh.low < reef.bed.kh_ceiling_dkh.high < 12.0


def test_bags_hold_the_bed_and_no_more_than_one_is_left() -> None:
    for bag in (2.0, 5.0, 25.0):
        part = blueprint_of(replace(WISH, bag_kg=bag)).bed.parts[0]
        assert 0.0 <= part.bags * bag - part.mass_kg < bag


def test_lower_layers_are_reached_by_less_water() -> None:
    layered = replace(WISH, layers=(BedLayer("gravel", 3.0, 3.0), BedLayer("sand", 1.0, 1.0)))
    below, above = blueprint_of(layered).bed.parts
    alone = blueprint_of(WISH).bed.parts[0]
    assert below.area_m2 == pytest.approx(0.5 * alone.area_m2)
    assert above.area_m2 > 0.0


def test_glass_that_is_too_thin_is_a_problem() -> None:
    thin = blueprint_of(replace(WISH, box=replace(BOX, glass_mm=4.0)))
    assert "blueprint-glass-thin" in [each.key for each in thin.findings]
    long = replace(BOX, length_cm=150.0, glass_mm=10.0)
    keys = [each.key for each in blueprint_of(replace(WISH, box=long)).findings]
    assert "blueprint-glass-long" in keys
    braced = blueprint_of(replace(WISH, box=replace(long, braced=True)))
    assert "blueprint-glass-long" not in [each.key for each in braced.findings]


@pytest.mark.parametrize(
    ("wish", "key"),
    [
        (replace(WISH, coldest_c=30.0), "blueprint-room"),
        (replace(WISH, target_ammonia_mg_n_per_l=0.05), "blueprint-target-low"),
        (replace(WISH, media="marbles"), "blueprint-media-unknown"),
        (replace(WISH, layers=(BedLayer("marbles"),)), "blueprint-bed-unknown"),
    ],
)
def test_a_wish_that_cannot_be_says_why(wish: BlueprintWish, key: str) -> None:
    with pytest.raises(CannotPlan) as caught:
        blueprint_of(wish)
    assert [problem.key for problem in caught.value.problems] == [key]


def test_an_engineer_is_asked_for_a_heavy_tank_only() -> None:
    heavy = replace(BOX, length_cm=150.0, width_cm=60.0, height_cm=60.0, glass_mm=12.0, braced=True)
    keys = [each.key for each in blueprint_of(replace(WISH, box=heavy)).findings]
    assert "blueprint-engineer" in keys
    assert "blueprint-floor-assumed" in keys
    told = RoomFloor("timber", span_cm=350.0, tank_across=True)
    keys = [each.key for each in blueprint_of(replace(WISH, floor=told)).findings]
    assert "blueprint-engineer" not in keys
    assert "blueprint-floor-assumed" not in keys


def test_trade_sizes() -> None:
    assert [trade_size_w(power) for power in (9.0, 25.0, 26.0, 480.0, 730.0)] == [
        10.0,
        25.0,
        50.0,
        500.0,
        800.0,
    ]


LABELLED = replace(WISH, animals=(Wish("goldfish", 3, 12.0),))


@pytest.mark.parametrize(
    ("told", "key"),
    [
        ({"label_l": 200.0}, "blueprint-filter-label-unjudged"),
        ({"label_l": 200.0, "media_l": 0.1, "flow_l_per_h": 300.0}, "blueprint-filter-label-small"),
        ({"label_l": 10.0, "media_l": 9.0, "flow_l_per_h": 900.0}, "blueprint-filter-label-short"),
        ({"media_l": 0.1}, "blueprint-filter-small"),
    ],
)
def test_what_a_label_is_worth(told: dict[str, float], key: str) -> None:
    found = {each.key for each in blueprint_of(replace(LABELLED, **told)).findings}
    assert {each for each in found if each.startswith("blueprint-filter-")} == {key}


def test_a_filter_that_carries_the_plan_needs_no_word_about_its_label() -> None:
    plenty = replace(LABELLED, label_l=200.0, media_l=9.0, flow_l_per_h=900.0)
    keys = {each.key for each in blueprint_of(plenty).findings}
    assert not {each for each in keys if each.startswith("blueprint-filter-")}


def test_a_bucket_tells_when_the_flow_is_spent() -> None:
    """At the slowest bucket a third of the ammonia taken a pass is just what food brings."""
    plan = blueprint_of(replace(LABELLED, flow_l_per_h=240.0))
    sieve = plan.filter
    assert sieve.bucket_seconds == pytest.approx(150.0)  # ten litres at 240 L/h
    least = 36_000.0 / sieve.slowest_bucket_seconds
    carried = 24.0 * least * plan.wish.target_ammonia_mg_n_per_l / 3.0
    oxygen = least == pytest.approx(sieve.oxygen_flow_l_per_h)
    assert oxygen or carried == pytest.approx(sieve.ammonia_mg_n_per_d)
    assert sieve.slowest_bucket_seconds > sieve.bucket_seconds


def test_light_goes_by_the_plants_into_the_plan_the_list_and_the_file() -> None:
    hours = []
    for plants in ("none", "few", "many"):
        plan = blueprint_of(replace(WISH, plants=plants))
        lamp = next(each for each in plan.shopping if each.key == "lamp")
        tank = tank_of(plan, date(2026, 3, 1))
        assert plan.light.hours_per_d == lamp.arguments["hours"] == tank.light_hours
        assert plan.light.first_hours_per_d <= plan.light.hours_per_d
        hours.append(plan.light.hours_per_d)
    assert hours == sorted(set(hours))


def test_glass_to_ask_for_is_sold_and_bears_what_custom_wants() -> None:
    thin = replace(WISH, box=GlassBox(length_cm=100.0, width_cm=40.0, height_cm=50.0, glass_mm=6.0))
    plan = blueprint_of(thin)
    asked = next(each for each in plan.shopping if each.key == "tank").arguments["glass_mm"]
    assert asked in TRADE_MM
    assert asked >= plan.panes[0].custom_mm
    thicker = blueprint_of(replace(thin, box=replace(thin.box, glass_mm=asked)))
    assert thicker.panes[0].stress_mpa <= 5.0
    assert not [f for f in thicker.findings if f.key == "blueprint-glass-thin"]
    holds = next(each for each in thicker.shopping if each.key == "tank").arguments["glass_mm"]
    assert holds == asked


def test_cooling_is_asked_for_where_the_animals_bear_no_more() -> None:
    hot = replace(WISH, warmest_c=30.0, water_c=22.0)
    cool = blueprint_of(replace(hot, animals=(Wish("neon tetra", 12),))).heat
    nobody = blueprint_of(replace(hot, animals=())).heat
    assert cool.bearable_c == 25.0  # the catalogue's upper end
    assert nobody.bearable_c == 24.0  # two degrees above the water planned
    assert 0.0 < cool.cooling_w < nobody.cooling_w


def test_water_has_its_price() -> None:
    told = blueprint_of(replace(WISH, water_price=4.0)).upkeep
    litres = told.water_l_per_month + told.evaporated_l_per_month
    assert told.water_cost_per_month == pytest.approx(0.004 * litres)
    assert blueprint_of(WISH).upkeep.water_cost_per_month is None


def test_what_is_used_up_by_the_gram_has_its_price() -> None:
    priced = replace(WISH, conditioner_price=3.0, food_price=9.0, salt_price=2.0, water_price=4.0)
    told = blueprint_of(priced).upkeep
    assert told.conditioner_cost_per_month == pytest.approx(0.03 * told.conditioner_g_per_month)
    assert told.food_cost_per_month == pytest.approx(0.09 * told.food_g_per_month)
    assert told.salt_cost_per_month == 0.0  # no salt is mixed in
    assert len(told.costs_told) == 4
    assert blueprint_of(WISH).upkeep.costs_told == ()
