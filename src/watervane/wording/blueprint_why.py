"""Where the figures of a blueprint come from: the sum in words with its numbers, and its source."""

from __future__ import annotations

import math
from dataclasses import dataclass

from watervane.records import Blueprint, Choice, Pane, SourcePlan
from watervane.reference import source
from watervane.wording.amounts import listed, number
from watervane.wording.templates import phrase

GRAVITY_M_PER_S2 = 9.81


@dataclass(frozen=True, slots=True)
class Why:
    """One sum in words, and what it rests on."""

    text: str
    sources: str = ""


def blueprint_whys(plan: Blueprint) -> dict[str, list[Why]]:
    """Sums by the subject they belong to."""
    return {
        "floor": _floor(plan),
        "glass": _glass(plan.panes[0]),
        "water": _water(plan),
        "bed": _bed(plan),
        "filter": [*_filter(plan), *_air(plan)],
        "heat": _heat(plan),
    }


def water_whys(plan: SourcePlan) -> list[Why]:
    """Sums of a source water."""
    found = [
        _why("why-tap-ions", "apha1030"),
        _why("why-tap-ph", "plummer_busenberg1982", kh=number(plan.aired.kh_dkh, 2)),
        _why("why-tap-suits", "zoology_memory"),
        _why("why-tap-conditioner"),
    ]
    return [*found, _why("why-tap-recipe", "house-estimate")] if plan.recipe else found


def choice_whys(choice: Choice) -> list[Why]:
    """Sums of a choice of animals."""
    food = sum(each.food_g_per_d for each in choice.chosen)
    change = next((each.used for each in choice.rooms if each.room == "change"), 0.0)
    told = {"food": number(food, 2), "water": number(choice.temperature_c, 3)}
    hottest = number(choice.hottest_c, 3)
    return [
        _why("why-choose-ranges", "zoology_memory"),
        _why("why-choose-food", "clarke_johnston1999", **told),
        _why(
            "why-choose-change",
            *("timmons_ebeling2007", "camargo2005"),
            protein=number(choice.wish.plan.protein, 2),
            change=number(change, 2),
        ),
        _why("why-choose-air", "clarke_johnston1999", "asce_aeration", hottest=hottest),
        _why("why-choose-young", "house-estimate"),
        _why("why-choose-numbers"),
    ]


def _why(key: str, *sources: str, **told: object) -> Why:
    cited = listed([source(each).citation for each in sources])
    return Why(phrase(key, **told), phrase("why-source", sources=cited) if cited else "")


def _kn(plan: Blueprint) -> float:
    return 1e-3 * GRAVITY_M_PER_S2 * plan.total_kg


def _floor(plan: Blueprint) -> list[Why]:
    masses = {part.part: part.mass_kg for part in plan.masses}
    water, floor = masses.get("water", 0.0), plan.floor
    found = [
        _why(
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
            _why(
                "why-floor-strip-slab" if slab else "why-floor-strip",
                *slab,
                total=total,
                load=load,
                width=width,
            ),
            _why(
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
    return [*found, _why("why-floor-pressure", load=load, footprint=told_print, pressure=pressure)]


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
    found = [_why("why-glass-pressure", height=number(height, 3), pressure=pressure)]
    if pane.way == "ring":
        return [
            *found,
            _why("why-glass-ring", "engineering_handbook", stress=stress),
            _why("why-glass-factor", "en16612", stress=stress, factor=factor),
            _why("why-glass-thickness-ring", "en16612", **sizes),
        ]
    return [
        *found,
        _why(
            "why-glass-stress",
            "timoshenko_plates",
            part=phrase(f"blueprint-part-{pane.part}"),
            length=number(pane.length_cm, 3),
            height_cm=number(pane.height_cm, 3),
            edges="4" if pane.top_held else "3",
            stress=stress,
        ),
        _why("why-glass-factor", "en16612", stress=stress, factor=factor),
        _why("why-glass-thickness", "en16612", **sizes),
    ]


def _water(plan: Blueprint) -> list[Why]:
    told, depth = plan.volumes, plan.section.water_depth_cm
    found = [
        _why(
            "why-water-filled",
            filled=number(told.filled_l, 3),
            floor=number(0.1 * told.filled_l / depth, 3),
            depth=number(depth, 3),
        ),
        _why(
            "why-water-net",
            grains=number(told.grains_l, 2),
            decor=number(told.decor_l, 2),
            net=number(told.net_l, 3),
        ),
    ]
    if plan.wish.box.water_depth_cm is None:
        found.append(_why("why-water-depth-usual"))
    return found


def _bed(plan: Blueprint) -> list[Why]:
    floor_m2 = 0.1 * plan.volumes.filled_l / plan.section.water_depth_cm
    found = []
    for part in plan.bed.parts:
        found += [
            _why(
                "why-bed-volume",
                bulk=number(part.bulk_l, 2),
                material=part.material,
                depth=number(0.1 * part.bulk_l / floor_m2, 2),
            ),
            _why(
                "why-bed-mass",
                "engineering_handbook",
                porosity=number(part.porosity, 2),
                mass=number(part.mass_kg, 2),
            ),
        ]
    if plan.bed.parts:
        found.append(_why("why-bed-area", area=number(plan.bed.area_m2, 2)))
    ceiling = plan.bed.kh_ceiling_dkh
    if ceiling is not None:
        low, high = number(ceiling.low, 2), number(ceiling.high, 2)
        found.append(_why("why-bed-lime", "plummer_busenberg1982", low=low, high=high))
    return found


def _filter(plan: Blueprint) -> list[Why]:
    sieve, wish = plan.filter, plan.wish
    ammonia = number(sieve.ammonia_mg_n_per_d, 2)
    food = (
        _why("why-filter-food-usual", "house-estimate")
        if sieve.food_assumed
        else _why("why-filter-food-animals", "clarke_johnston1999", water=number(wish.water_c, 3))
    )
    return [
        food,
        _why(
            "why-filter-ammonia",
            "timmons_ebeling2007",
            food=number(sieve.food_g_per_d, 2),
            protein=number(wish.protein, 2),
            ammonia=ammonia,
        ),
        _why(
            "why-filter-rate",
            *("zhu_chen1999", "zhu_chen2002", "michaud2006", "nijhof_bovendeur1990"),
            target=number(wish.target_ammonia_mg_n_per_l, 2),
            low=number(sieve.areal_mg_n_per_m2_d.low, 2),
            high=number(sieve.areal_mg_n_per_m2_d.high, 2),
            area_low=number(sieve.area_m2.low, 2),
            area_high=number(sieve.area_m2.high, 2),
        ),
        _why("why-filter-litres", media=sieve.media, litres=number(sieve.media_l.high, 2)),
        _why(
            "why-filter-flow",
            ammonia=ammonia,
            ammonia_flow=number(sieve.ammonia_flow_l_per_h, 2),
            oxygen_flow=number(sieve.oxygen_flow_l_per_h, 2),
        ),
    ]


def _air(plan: Blueprint) -> list[Why]:
    air = plan.oxygen
    return [
        _why(
            "why-air-demand",
            "clarke_johnston1999",
            animals=number(air.animals_mg_per_h, 2),
            bacteria=number(air.filter_mg_per_h, 2),
            plants=number(air.plants_mg_per_h, 2),
        ),
        _why(
            "why-air-balance",
            *("apha4500_o", "wanninkhof1992", "asce_aeration"),
            warm=number(air.temperature_c, 3),
            holds=number(air.saturation_mg_per_l, 2),
        ),
    ]


def _heat(plan: Blueprint) -> list[Why]:
    heat, wish = plan.heat, plan.wish
    day = next(each for each in heat.days if each.lid == wish.lid)
    energy = number(heat.energy_kwh_per_year, 2)
    found = [
        _why(
            "why-heat-loss",
            *("ashrae_natatorium", "en673", "engineering_handbook"),
            cold=number(day.room_c, 3),
            total=number(day.total_w, 2),
            vapour=number(day.evaporation_w, 2),
            glass=number(day.glass_w, 2),
            surface=number(day.surface_w, 2),
        ),
        _why("why-heat-size"),
        _why(
            "why-heat-year",
            cold=number(wish.coldest_c, 3),
            warm=number(wish.warmest_c, 3),
            energy=energy,
        ),
    ]
    if heat.cost_per_year is not None and math.isfinite(heat.cost_per_year):
        price = number(wish.price_per_kwh or 0.0, 3)
        cost = number(heat.cost_per_year, 2)
        found.append(_why("why-heat-cost", energy=energy, price=price, cost=cost))
    return found
