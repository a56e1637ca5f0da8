"""A whole plan from a wish, and what there is to mind about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from watervane.planning.blueprint.bed_cautions import bed_cautions
from watervane.planning.blueprint.breath import oxygen_plan
from watervane.planning.blueprint.filling import (
    bed_parts,
    check_depths,
    check_layers,
    decor_l,
    masses_of,
    volumes_of,
)
from watervane.planning.blueprint.filters import check_filter, filter_plan, load_of
from watervane.planning.blueprint.floor import ENGINEER_KG, floor_plan
from watervane.planning.blueprint.glazing import glazed
from watervane.planning.blueprint.heating import check_warmth, heat_plan
from watervane.planning.blueprint.lighting import light_plan
from watervane.planning.blueprint.limestone import ceiling_of
from watervane.planning.blueprint.panes import (
    CUSTOM_MPA,
    LONGEST_FREE_ASPECT,
    TRADE_MM,
    design_stress_mpa,
    glass_to_buy_mm,
    panes_of,
)
from watervane.planning.blueprint.section import section_of
from watervane.planning.blueprint.shapes import CannotPlan, Vessel, longest_cm
from watervane.planning.blueprint.shopping import shopping_of
from watervane.planning.blueprint.soils import soil_plan
from watervane.planning.blueprint.starts import start_days
from watervane.planning.blueprint.timeline import timeline_of
from watervane.planning.blueprint.upkeep import upkeep_of
from watervane.planning.choosing.stock import against_stock, shared_range_c
from watervane.planning.waters.plan import as_source_water, shared_water
from watervane.records import (
    BedPart,
    BedPlan,
    Blueprint,
    BlueprintWish,
    Finding,
    GlassBox,
    SharedWater,
    SoilPlan,
    SourcePlan,
    Volumes,
    Ways,
)
from watervane.reference import meant_instead, own_row, strangers_among

ASKED_ABOVE_CM = 300.0  # longer tanks are more often a slip of the unit: house estimate
MOST_CHANGED = 0.5  # of the water a week: common practice, no source
Checked = tuple[Vessel, tuple[BedPart, ...], Volumes]
ALWAYS = ("water", "mains", "place", "filled-move")


def blueprint_of(
    wish: BlueprintWish, water: SourcePlan | None = None, own: Ways | None = None
) -> Blueprint:
    """Work a wish out.

    Parameters
    ----------
    wish
        What is planned.
    water
        Its source water, worked out; what it tells goes before the wish's.
    own
        This tank's own run of the ways to start, see `handover.tank_of`.

    Raises
    ------
    CannotPlan
        With what contradicts itself in the wish.
    """
    if water is not None:
        wish = replace(wish, source_water=as_source_water(water))
    vessel, parts, volumes = _checked(wish, own)
    masses = masses_of(wish, vessel, volumes, parts)
    shared = shared_range_c(wish)
    heat = heat_plan(wish, vessel, None if shared is None else shared.high)
    load = load_of(wish, volumes.net_l)
    hottest = max(heat.unheated_c, wish.water_c)
    oxygen = oxygen_plan(wish, vessel, load, volumes.net_l, hottest)
    recipe = None if water is None else water.recipe
    upkeep = upkeep_of(wish, vessel, load, volumes.net_l, recipe)
    soil = soil_plan(wish, parts, volumes.net_l, upkeep.weekly_change_l)
    bed = _bed(wish, parts, soil)
    plan = Blueprint(
        wish=wish,
        volumes=volumes,
        masses=masses,
        panes=panes_of(wish.box, vessel),
        floor=floor_plan(wish.floor, vessel, sum(part.mass_kg for part in masses)),
        bed=bed,
        filter=filter_plan(wish, load, volumes.net_l, max(oxygen.stirred_mg_per_l, 3.0)),
        oxygen=oxygen,
        light=light_plan(wish.plants),
        heat=heat,
        section=section_of(wish, vessel),
        upkeep=upkeep,
        findings=(),
        water=water,
    )
    start = start_days(wish.way, wish.water_c, own)
    plan = replace(plan, timeline=timeline_of(plan, vessel, load, start))
    plan = replace(plan, shopping=shopping_of(plan, start, own))
    return _with_findings(plan, vessel, against_stock(wish, _water_for(wish, water)))


def _checked(wish: BlueprintWish, own: Ways | None) -> Checked:
    """Glass, bed and water, once nothing in the wish contradicts itself; else all that does."""
    problems: list[Finding] = [*check_filter(wish)]
    for check in (
        partial(check_warmth, wish),
        partial(check_layers, wish.layers),
        partial(decor_l, wish.decor),
        partial(start_days, wish.way, wish.water_c, own),
    ):
        problems += _wrong(check)
    found: Checked | None = None
    try:
        vessel = glazed(wish.box)
        if not problems:
            parts = bed_parts(wish, vessel)
            found = vessel, parts, volumes_of(wish, vessel, parts)
        else:
            problems += _wrong(partial(check_depths, wish.layers, vessel))
    except CannotPlan as error:
        problems += error.problems
    if found is None:
        raise CannotPlan(problems)
    return found


def contradictions_of(wish: BlueprintWish, own: Ways | None = None) -> tuple[Finding, ...]:
    """Everything in a wish that contradicts itself.

    Parameters
    ----------
    wish, own
        As for `blueprint_of`.
    """
    return _wrong(partial(_checked, wish, own))


def _wrong(check: Callable[[], object]) -> tuple[Finding, ...]:
    try:
        check()
    except CannotPlan as error:
        return error.problems
    return ()


def stands_against(wish: BlueprintWish, water: SourcePlan | None) -> bool:
    """Whether anything stands against the animals of a plan.

    Parameters
    ----------
    wish
        What is planned.
    water
        Its source water, worked out.
    """
    found = against_stock(wish, _water_for(wish, water))
    return any(each.severity == "problem" for each in found)


def _bed(wish: BlueprintWish, parts: tuple[BedPart, ...], soil: SoilPlan | None) -> BedPlan:
    area = sum(part.area_m2 for part in parts)
    ceiling = ceiling_of(wish)
    if ceiling is None:
        return BedPlan(parts, area, None, soil=soil)
    return BedPlan(parts, area, ceiling.kh_dkh, ceiling.ph, soil)


def _water_for(wish: BlueprintWish, water: SourcePlan | None) -> SharedWater:
    """What the animals are held against; the pH of a tank comes of a whole report alone."""
    if water is not None:
        return shared_water(water)
    told = wish.source_water
    return SharedWater(None, told.gh_dgh, told.kh_dkh, told.nitrate_mg_n_per_l)


def _with_findings(plan: Blueprint, vessel: Vessel, stock: tuple[Finding, ...]) -> Blueprint:
    found = [
        *stock,
        *_glass(plan, vessel),
        *_carrier(plan),
        *_floor(plan),
        *bed_cautions(plan.wish, vessel, plan.bed),
        *_machines(plan),
        *_changes(plan),
        *(Finding(f"blueprint-always-{name}", "caution", {}) for name in ALWAYS),
    ]
    if plan.wish.second_hand:
        found.append(Finding("blueprint-second-hand", "caution", {}))
    return replace(plan, findings=tuple(found))


def _glass(plan: Blueprint, vessel: Vessel) -> list[Finding]:
    found = []
    worst = plan.panes[0]
    told = {
        "glass_mm": worst.thickness_mm,
        "stress": worst.stress_mpa,
        "standard": design_stress_mpa(),
        "custom": CUSTOM_MPA,
        "standard_mm": worst.standard_mm,
        "custom_mm": worst.custom_mm,
        "sold_mm": glass_to_buy_mm(plan.panes) or worst.custom_mm,
    }
    if worst.stress_mpa > design_stress_mpa():
        found.append(Finding("blueprint-glass-thin", "problem", told, source="en16612"))
    elif worst.stress_mpa > CUSTOM_MPA:
        found.append(Finding("blueprint-glass-between", "caution", told, source="en16612"))
    longest = max(*longest_cm(vessel.outer), vessel.outer_height_cm)
    if longest > ASKED_ABOVE_CM:
        large = {"longest_cm": longest, "usual_cm": ASKED_ABOVE_CM}
        found.append(Finding("blueprint-glass-large", "problem", large))
    if worst.thickness_mm > TRADE_MM[-1]:
        thick = {"glass_mm": worst.thickness_mm, "most_mm": TRADE_MM[-1]}
        found.append(Finding("blueprint-glass-thick", "problem", thick))
    if vessel.glass_assumed:
        found.append(Finding("blueprint-glass-assumed", "caution", {"glass_mm": vessel.glass_mm}))
    if any(not pane.thin_plate for pane in plan.panes):
        found.append(Finding("blueprint-glass-bends", "problem", {}))
    if _long_and_free(plan.wish.box, plan):
        found.append(Finding("blueprint-glass-long", "caution", {"aspect": LONGEST_FREE_ASPECT}))
    key = "blueprint-support-full" if plan.wish.box.full_support else "blueprint-support-frame"
    return [*found, Finding(key, "caution", {})]


def _long_and_free(box: GlassBox, plan: Blueprint) -> bool:
    return not box.braced and any(
        pane.way != "ring"
        and not pane.top_held
        and pane.length_cm >= LONGEST_FREE_ASPECT * pane.height_cm
        for pane in plan.panes
    )


def _carrier(plan: Blueprint) -> list[Finding]:
    """Nothing here can tell what a shelf bears, so it always stands against a plan."""
    if plan.wish.support == "shelf":
        return [Finding("blueprint-support-shelf", "problem", {"carried_kg": plan.carried_kg})]
    if plan.wish.support == "unknown":
        return [Finding("blueprint-support-assumed", "caution", {})]
    return []


def _floor(plan: Blueprint) -> list[Finding]:
    floor = plan.floor
    if plan.wish.floor.kind == "ground":
        return [Finding("blueprint-floor-ground", "info", {})]
    found = []
    if floor.span_assumed:
        kind = plan.wish.floor.kind
        if kind == "unknown":
            told = {"span_cm": floor.span_cm, "kind": "timber"}
            found.append(Finding("blueprint-floor-assumed", "caution", told))
        else:
            told = {"span_cm": floor.span_cm}
            found.append(Finding(f"blueprint-floor-span-{kind}", "caution", told))
    if floor.engineer:
        told = {"total_kg": floor.total_kg, "above_kg": ENGINEER_KG}
        found.append(Finding("blueprint-engineer", "problem", told, source="en1991_floors"))
    return found


def _changes(plan: Blueprint) -> list[Finding]:
    upkeep, net = plan.upkeep, plan.volumes.net_l
    held = upkeep.nitrate_held_mg_n_per_l
    if upkeep.weekly_change_l is None:
        told = {"source_mg_n_per_l": upkeep.nitrate_of_source_mg_n_per_l, "held_mg_n_per_l": held}
        return [Finding("blueprint-change-never", "problem", told, source="camargo2005")]
    if upkeep.weekly_change_l > MOST_CHANGED * net:
        told = {"change_l": upkeep.weekly_change_l, "net_l": net, "held_mg_n_per_l": held}
        return [Finding("blueprint-change-much", "caution", told, source="camargo2005")]
    return []


def _machines(plan: Blueprint) -> list[Finding]:
    found = []
    wish, sieve, air, heat = plan.wish, plan.filter, plan.oxygen, plan.heat
    if sieve.food_assumed:
        found.append(Finding("blueprint-food-assumed", "caution", {"food_g": sieve.food_g_per_d}))
    names = dict.fromkeys(each.species for each in wish.wanted or wish.animals)
    strangers = strangers_among(names, wish.own_animals)
    for name in names:
        near = None if own_row(name, wish.own_animals) else meant_instead(name)
        if near is not None:  # most likely a slip, and then all that counts it is wrong
            slip = {"name": name, "near": near}
            found.append(Finding("blueprint-animal-near", "problem", slip))
        elif name in strangers:
            found.append(Finding("blueprint-animal-unknown", "caution", {"name": name}))
    found += _filter(plan)
    if air.stirred_mg_per_l < air.wanted_mg_per_l:
        told = {"air": air.air_needed_l_per_h, "wanted": air.wanted_mg_per_l}
        found.append(Finding("blueprint-air-short", "problem", told, source="epa1986_oxygen"))
    if heat.enough is False:
        found.append(Finding("blueprint-heater-small", "problem", {"power": heat.heater_w}))
    if heat.cooling_w > 0.0:
        told = {"power": heat.cooling_w, "water_c": heat.unheated_c, "most_c": heat.bearable_c}
        found.append(Finding("blueprint-too-warm", "caution", told))
    return found


def _filter(plan: Blueprint) -> list[Finding]:
    """What a filter at hand, or the litres on its label, are worth."""
    wish, sieve = plan.wish, plan.filter
    flow = max(sieve.ammonia_flow_l_per_h, sieve.oxygen_flow_l_per_h)
    told: dict[str, object] = {"media_l": sieve.media_l.high, "media": sieve.media, "flow": flow}
    if wish.label_l is None:
        small = sieve.enough is False
        return [Finding("blueprint-filter-small", "problem", told)] if small else []
    named = {**told, "label_l": wish.label_l, "net_l": plan.volumes.net_l}
    found = []
    if sieve.enough is False:
        found.append(Finding("blueprint-filter-label-small", "problem", named))
    elif wish.media_l is None or wish.flow_l_per_h is None:
        found.append(Finding("blueprint-filter-label-unjudged", "caution", named))
    if wish.label_l < plan.volumes.net_l:
        found.append(Finding("blueprint-filter-label-short", "caution", named))
    return found
