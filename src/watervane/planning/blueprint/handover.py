"""From a plan to a tank that is ready to be started."""

from __future__ import annotations

import math
from datetime import date

from watervane.planning.blueprint.packing import blend_of, one_grain_mm
from watervane.process.geometry import LIMESTONE
from watervane.records import (
    Bed,
    Blueprint,
    Filter,
    Media,
    Shape,
    Span,
    Tank,
)

AS_FILES_HAVE_IT = ("rectangular", "cube", "cylinder")
FOOD_SPREAD = 1.2
IONS_KEPT = ("calcium", "magnesium", "sodium", "potassium", "sulfate")


def tank_of(plan: Blueprint, filled: date) -> Tank:
    """The planned tank as it stands on the day it is filled, with what the plan asks to buy.

    Parameters
    ----------
    plan
        A whole plan.
    filled
        The day water goes in.

    Returns
    -------
    Tank
        Animals are not in it: they come later, and `normal_food_g_per_d` tells what it is to carry.
        Outlines that tank files do not know are told by their volume, and in the notes.
    """
    wish = plan.wish
    told_shape = wish.box.kind in AS_FILES_HAVE_IT
    food = plan.filter.food_g_per_d
    media_l = wish.media_l or plan.filter.media_l.high
    return Tank(
        name=wish.name,
        filled=filled,
        volume_l=None if told_shape and not wish.decor else round(plan.volumes.net_l, 1),
        shape=_shape(plan) if told_shape else None,
        bed=_bed(plan),
        filter=Filter(
            (Media(plan.filter.media, _rounded_up(media_l)),),
            wish.flow_l_per_h or round(plan.filter.usual_flow_l_per_h),
        ),
        heater_power_w=wish.heater_w or plan.heat.heater_w or None,
        heater_set_point_c=wish.water_c,
        air_flow_l_per_h=wish.air_flow_l_per_h or round(plan.oxygen.air_needed_l_per_h) or None,
        light_hours=plan.light.hours_per_d,
        plants=wish.plants,
        lid=wish.lid,
        room_temperature_c=round(0.5 * (wish.coldest_c + wish.warmest_c), 1),
        altitude_m=wish.altitude_m,
        normal_food_g_per_d=Span(round(food / FOOD_SPREAD, 3), round(food * FOOD_SPREAD, 3)),
        normal_food_protein=wish.protein,
        source_water=wish.source_water,
        own_animals=wish.own_animals,
        notes=" ".join(filter(None, ("" if told_shape else _shape_told(plan), _report_told(plan)))),
    )


def _shape_told(plan: Blueprint) -> str:
    return f"Shape: {plan.wish.box.kind}. Its volume is told instead."


def _report_told(plan: Blueprint) -> str:
    """Ions of the report that a tank file has no key for, so that they are not lost."""
    if plan.water is None:
        return ""
    levels = {name: getattr(plan.water.report, f"{name}_mg_per_l") for name in IONS_KEPT}
    told = [f"{name} {level:g} mg/L" for name, level in levels.items() if level is not None]
    return f"Report of the tap: {', '.join(told)}." if told else ""


def _rounded_up(litres: float) -> float:
    """To hundredths of a litre, never less than what is wanted."""
    return math.ceil(100.0 * litres - 1e-6) / 100.0


def _shape(plan: Blueprint) -> Shape:
    box = plan.wish.box
    edge = box.length_cm
    cube = box.kind == "cube"
    return Shape(
        kind="cylinder" if box.kind == "cylinder" else "rectangular",
        length_cm=edge,
        width_cm=edge if cube else box.width_cm,
        height_cm=edge if cube else box.height_cm,
        water_depth_cm=box.water_depth_cm,
        glass_mm=plan.panes[0].thickness_mm,
        measured=box.measured,
    )


def _bed(plan: Blueprint) -> Bed:
    layers = [layer for layer in plan.wish.layers if layer.material != "none"]
    if not layers:
        return Bed("none")
    top = layers[-1]
    depth = sum(0.5 * (layer.front_cm + layer.back_cm) for layer in layers)
    blend = blend_of(top)
    grain = top.grain_mm if blend is None else round(one_grain_mm(blend), 2)
    # What dissolves counts for all of it.
    lime = [each for each in top.materials if each in LIMESTONE]
    return Bed((lime or top.materials)[0], round(depth, 2), grain)
