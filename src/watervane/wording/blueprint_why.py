"""Where the figures of a blueprint come from: the sum in words with its numbers, and its source."""

from __future__ import annotations

import math

from watervane.records import Blueprint, Choice, Pane, SourcePlan
from watervane.wording.amounts import number
from watervane.wording.blueprint import clean_at_seconds
from watervane.wording.blueprint_bed import bed_whys
from watervane.wording.blueprint_why_later import upkeep_whys
from watervane.wording.templates import phrase
from watervane.wording.whys import Why, why

GRAVITY_M_PER_S2 = 9.81


def blueprint_whys(plan: Blueprint) -> dict[str, list[Why]]:
    """Sums by the subject they belong to."""
    return {
        "floor": _floor(plan),
        "glass": _glass(plan.panes[0]),
        "water": [*_water(plan), *upkeep_whys(plan)],
        "bed": bed_whys(plan),
        "filter": [*_filter(plan), *_air(plan), why("why-light")],
        "heat": _heat(plan),
    }


def water_whys(plan: SourcePlan) -> list[Why]:
    """Sums of a source water."""
    found = [
        why("why-tap-ions", "apha1030"),
        why("why-tap-ph", "plummer_busenberg1982", kh=number(plan.aired.kh_dkh, 2)),
        why("why-tap-suits", "zoology_memory"),
        why("why-tap-conditioner"),
    ]
    return [*found, why("why-tap-recipe", "house-estimate")] if plan.recipe else found


def choice_whys(choice: Choice) -> list[Why]:
    """Sums of a choice of animals."""
    food = sum(each.food_g_per_d for each in choice.chosen)
    change = next((each.used for each in choice.rooms if each.room == "change"), 0.0)
    told = {"food": number(food, 2), "water": number(choice.temperature_c, 3)}
    hottest = number(choice.hottest_c, 3)
    return [
        why("why-choose-ranges", "zoology_memory"),
        why("why-choose-food", "clarke_johnston1999", **told),
        why(
            "why-choose-change",
            *("timmons_ebeling2007", "camargo2005"),
            protein=number(choice.wish.plan.protein, 2),
            change=number(change, 2),
        ),
        why("why-choose-air", "clarke_johnston1999", "asce_aeration", hottest=hottest),
        why("why-choose-young", "house-estimate"),
        why("why-choose-numbers"),
    ]


def _kn(plan: Blueprint) -> float:
    return 1e-3 * GRAVITY_M_PER_S2 * plan.total_kg


def _floor(plan: Blueprint) -> list[Why]:
    masses = {part.part: part.mass_kg for part in plan.masses}
    water, floor = masses.get("water", 0.0), plan.floor
    found = [
        why(
            "why-mass",
            "engineering_handbook",
            "millero_poisson1981",
            net=number(plan.volumes.net_l, 3),
            density=number(water / plan.volumes.net_l, 4),
            glass_l=number(masses.get("glass", 0.0) / 2.5, 3),
        )
    ]
    load = number(_kn(plan), 3)
    if floor.shares:
        asked = [each for each in floor.shares if each.placing == floor.asked] or list(floor.shares)
        told = min(asked, key=lambda each: max(each.bending_share, each.shear_share))
        total, design = number(plan.total_kg, 3), number(floor.design_kpa, 2)
        width = number(0.01 * told.width_cm, 2)
        slab = ("bs8110_slabs",) if plan.wish.floor.kind == "concrete" else ()
        found += [
            why(
                "why-floor-strip-slab" if slab else "why-floor-strip",
                *slab,
                total=total,
                load=load,
                width=width,
            ),
            why(
                "why-floor-share",
                "engineering_handbook",
                "en1991_floors",
                span=number(0.01 * floor.span_cm, 3),
                design=design,
            ),
        ]
    print_m2 = _kn(plan) / floor.pressure_kpa
    pressure = number(floor.pressure_kpa, 2)
    told_print = number(print_m2, 3)
    return [*found, why("why-floor-pressure", load=load, footprint=told_print, pressure=pressure)]


def _glass(pane: Pane) -> list[Why]:
    height = 0.01 * pane.height_cm
    stress = number(pane.stress_mpa, 2)
    sizes = {
        "thickness": number(pane.thickness_mm, 2),
        "stress": stress,
        "standard": number(pane.standard_mm, 2),
        "custom": number(pane.custom_mm, 2),
    }
    pressure = number(GRAVITY_M_PER_S2 * height, 2)
    factor = number(pane.strength_factor, 2)
    found = [why("why-glass-pressure", height=number(height, 3), pressure=pressure)]
    if pane.way == "ring":
        return [
            *found,
            why("why-glass-ring", "engineering_handbook", stress=stress),
            why("why-glass-factor", "en16612", stress=stress, factor=factor),
            why("why-glass-thickness-ring", "en16612", **sizes),
        ]
    return [
        *found,
        why(
            "why-glass-stress",
            "timoshenko_plates",
            part=phrase(f"blueprint-part-{pane.part}"),
            length=number(pane.length_cm, 3),
            height_cm=number(pane.height_cm, 3),
            edges="4" if pane.top_held else "3",
            stress=stress,
        ),
        why("why-glass-bent", "timoshenko_plates", bent=number(pane.deflection_mm, 1)),
        why("why-glass-factor", "en16612", stress=stress, factor=factor),
        why("why-glass-thickness", "en16612", **sizes),
    ]


def _water(plan: Blueprint) -> list[Why]:
    told, depth = plan.volumes, plan.section.water_depth_cm
    found = [
        why(
            "why-water-filled",
            filled=number(told.filled_l, 3),
            floor=number(0.1 * told.filled_l / depth, 3),
            depth=number(depth, 3),
        ),
        why(
            "why-water-net",
            grains=number(told.grains_l, 2),
            decor=number(told.decor_l, 2),
            net=number(told.net_l, 3),
        ),
        why(
            "why-water-brimful",
            floor=number(0.1 * told.filled_l / depth, 3),
            height=number(plan.section.inner_height_cm, 3),
            brimful=number(told.brimful_l, 3),
        ),
        why(
            "why-water-all",
            grains=number(told.grains_l, 2),
            decor=number(told.decor_l, 2),
            taken=number(told.grains_l + told.decor_l, 2),
            total=number(plan.total_kg, 3),
        ),
    ]
    if plan.wish.box.water_depth_cm is None:
        found.append(why("why-water-depth-usual"))
    return found


def _filter(plan: Blueprint) -> list[Why]:
    sieve, wish = plan.filter, plan.wish
    ammonia = number(sieve.ammonia_mg_n_per_d, 2)
    food = (
        why("why-filter-food-usual", "house-estimate")
        if sieve.food_assumed
        else why("why-filter-food-animals", "clarke_johnston1999", water=number(wish.water_c, 3))
    )
    young = [why("why-filter-food-young", "house-estimate")] if sieve.young_counted else []
    return [
        food,
        *young,
        why(
            "why-filter-ammonia",
            "timmons_ebeling2007",
            food=number(sieve.food_g_per_d, 2),
            protein=number(wish.protein, 2),
            ammonia=ammonia,
        ),
        why(
            "why-filter-rate",
            *("zhu_chen1999", "zhu_chen2002", "michaud2006", "nijhof_bovendeur1990"),
            target=number(wish.target_ammonia_mg_n_per_l, 2),
            low=number(sieve.areal_mg_n_per_m2_d.low, 2),
            high=number(sieve.areal_mg_n_per_m2_d.high, 2),
            area_low=number(sieve.area_m2.low, 2),
            area_high=number(sieve.area_m2.high, 2),
        ),
        why(
            "why-filter-litres",
            media=sieve.media,
            litres=number(sieve.media_l.high, 2),
            least=number(sieve.media_l.low, 2),
        ),
        why(
            "why-filter-flow",
            ammonia=ammonia,
            ammonia_flow=number(sieve.ammonia_flow_l_per_h, 2),
            oxygen_flow=number(sieve.oxygen_flow_l_per_h, 2),
            usual=number(sieve.usual_flow_l_per_h, 2),
        ),
        _bucket(plan),
    ]


def _bucket(plan: Blueprint) -> Why:
    sieve, flow = plan.filter, plan.wish.flow_l_per_h
    return why(
        "why-filter-bucket",
        flow=number(flow or sieve.usual_flow_l_per_h, 2),
        turnover=number((flow or sieve.usual_flow_l_per_h) / plan.volumes.net_l, 2),
        seconds=number(sieve.bucket_seconds, 2),
        slowest=number(sieve.slowest_bucket_seconds, 2),
        clean=number(clean_at_seconds(sieve), 2),
    )


def _air(plan: Blueprint) -> list[Why]:
    air = plan.oxygen
    return [
        why(
            "why-air-demand",
            "clarke_johnston1999",
            animals=number(air.animals_mg_per_h, 2),
            bacteria=number(air.filter_mg_per_h, 2),
            plants=number(air.plants_mg_per_h, 2),
        ),
        why(
            "why-air-balance",
            *("apha4500_o", "wanninkhof1992", "asce_aeration"),
            warm=number(air.temperature_c, 3),
            holds=number(air.saturation_mg_per_l, 2),
        ),
        why(
            "why-air-kept",
            *("epa1986_oxygen", "house-estimate"),
            stirred=number(air.stirred_mg_per_l, 2),
            still=number(air.still_mg_per_l, 2),
            wanted=number(air.wanted_mg_per_l, 2),
            air=number(air.air_needed_l_per_h, 2),
        ),
    ]


def _heat(plan: Blueprint) -> list[Why]:
    heat, wish = plan.heat, plan.wish
    day = next(each for each in heat.days if each.lid == wish.lid)
    energy = number(heat.energy_kwh_per_year, 2)
    found = [
        why(
            "why-heat-loss",
            *("ashrae_natatorium", "en673", "engineering_handbook"),
            water=number(wish.water_c, 3),
            cold=number(day.room_c, 3),
            total=number(day.total_w, 2),
            vapour=number(day.evaporation_w, 2),
            glass=number(day.glass_w, 2),
            surface=number(day.surface_w, 2),
        ),
        why(
            "why-heat-size",
            lost=number(day.total_w, 2),
            machines=number(wish.machines_w, 2),
            power=number(heat.heater_w, 3),
            half=number(heat.half_heater_w, 3),
            duty=number(100.0 * heat.duty, 2),
        ),
        why(
            "why-heat-failing",
            stuck=number(heat.one_stuck_c, 3),
            half_stuck=number(heat.two_stuck_c, 3),
            failed=number(heat.one_failed_c, 3),
            half_failed=number(heat.two_failed_c, 3),
            unheated=number(heat.unheated_c, 3),
            power=number(heat.heater_w, 3),
            half=number(heat.half_heater_w, 3),
        ),
        why(
            "why-heat-year",
            cold=number(wish.coldest_c, 3),
            warm=number(wish.warmest_c, 3),
            energy=energy,
            other=number(heat.energy_other_lid_kwh_per_year, 2),
        ),
    ]
    if heat.cooling_w > 0.0:
        cooled, power = number(heat.bearable_c, 3), number(heat.cooling_w, 3)
        found.append(why("why-heat-cooling", "zoology_memory", bearable=cooled, power=power))
    if heat.cost_per_year is not None and math.isfinite(heat.cost_per_year):
        price = number(wish.price_per_kwh or 0.0, 3)
        cost = number(heat.cost_per_year, 2)
        found.append(why("why-heat-cost", energy=energy, price=price, cost=cost))
    return found
