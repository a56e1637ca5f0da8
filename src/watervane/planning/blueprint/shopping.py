"""What is bought, in the units it is sold in."""

from __future__ import annotations

import math
from collections.abc import Iterator

from watervane.planning.blueprint.panes import glass_to_buy_mm
from watervane.planning.blueprint.starts import dosed_mg_per_l
from watervane.planning.start_kinds import BOTTLE_DAYS, open_ways
from watervane.records import Blueprint, Purchase, StartDays, Ways

BUCKETS = 2.0  # one for fresh water, one for old: common practice, no source
MONTHS_OF_STOCK = 3.0  # of conditioner and salts: house estimate
MEDIA_STEP_L = 0.1


def shopping_of(plan: Blueprint, start: StartDays, own: Ways | None = None) -> tuple[Purchase, ...]:
    """The whole list, the tank first; what is at hand is left out.

    Parameters
    ----------
    plan
        Worked out but for its list.
    start
        Of the way chosen.
    own
        This tank's own run.
    """
    return (*_glass(plan), *_machines(plan), *_water(plan), *_begin(plan, start, own))


def _glass(plan: Blueprint) -> Iterator[Purchase]:
    box = plan.wish.box
    thick = glass_to_buy_mm(plan.panes) or plan.panes[0].custom_mm
    told = {"kind": box.kind, "glass_mm": thick, "net_l": plan.volumes.net_l}
    yield Purchase("tank", 1.0, "pieces", told)
    if plan.wish.support != "shelf":
        yield Purchase("stand", 1.0, "pieces", {"carried_kg": plan.carried_kg})
    if box.full_support:
        yield Purchase("mat", 1.0, "pieces", {})
    if plan.wish.lid:
        yield Purchase("lid", 1.0, "pieces", {})
    yield from _bed(plan)


def _bed(plan: Blueprint) -> Iterator[Purchase]:
    """Each grain once, in whichever layers it lies."""
    masses: dict[tuple[str, float], float] = {}
    for part in plan.bed.parts:
        grain = part.material, part.grain_mm
        masses[grain] = masses.get(grain, 0.0) + part.mass_kg
    bag_kg = plan.wish.bag_kg
    for (material, grain_mm), mass in masses.items():
        told = {"material": material, "grain_mm": grain_mm, "bag_kg": bag_kg, "mass_kg": mass}
        yield Purchase("bed", float(math.ceil(mass / bag_kg - 1e-9)), "bags", told)


def _machines(plan: Blueprint) -> Iterator[Purchase]:
    wish, sieve, heat, air = plan.wish, plan.filter, plan.heat, plan.oxygen
    if wish.media_l is None or sieve.enough is False:
        litres = math.ceil(sieve.media_l.high / MEDIA_STEP_L - 1e-9) * MEDIA_STEP_L
        least = max(sieve.ammonia_flow_l_per_h, sieve.oxygen_flow_l_per_h)
        told = {"media": sieve.media, "flow": sieve.usual_flow_l_per_h, "least": least}
        yield Purchase("media", litres, "L", told)
    if heat.heater_w > 0.0 and (wish.heater_w is None or heat.enough is False):
        yield Purchase("heaters", 2.0, "pieces", {"half": heat.half_heater_w, "one": heat.heater_w})
    if air.air_needed_l_per_h > max(wish.air_flow_l_per_h, 0.0):
        yield Purchase("air", air.air_needed_l_per_h, "L/h", {})
    yield Purchase("lamp", 1.0, "pieces", {"hours": plan.light.hours_per_d})
    if wish.plants != "none":
        yield Purchase("plants", 1.0, wish.plants, {})


def _water(plan: Blueprint) -> Iterator[Purchase]:
    upkeep = plan.upkeep
    first, monthly = upkeep.conditioner_first_g, upkeep.conditioner_g_per_month
    if first > 0.0:
        told = {"first": first, "monthly": monthly, "assumed": upkeep.disinfectant_assumed}
        yield Purchase("conditioner", first + MONTHS_OF_STOCK * monthly, "g", told)
    for name, grams in upkeep.salts_first_g.items():
        later = upkeep.salts_g_per_month.get(name, 0.0)
        salt = {"name": name, "first": grams, "monthly": later}
        yield Purchase("salt", grams + MONTHS_OF_STOCK * later, "g", salt)
    yield Purchase("food", upkeep.food_g_per_month, "g", {"protein": plan.wish.protein})


def _begin(plan: Blueprint, start: StartDays, own: Ways | None) -> Iterator[Purchase]:
    way = next((w for w in open_ways(occupied=False, planted=False) if w.key == start.way), None)
    if way is not None and way.dosed is not None:
        grams = _dosed_g(plan, start, own)
        told = {"substance": way.dosed, "usual": grams[0], "own": own is not None}
        yield Purchase("ammonia", grams[1], "g", told)
    if way is not None and way.bottled:
        yield Purchase("bottles", float(len(set(BOTTLE_DAYS.values()))), "pieces", {})
    if way is not None and way.seeded:
        yield Purchase("seed", 1.0, "pieces", {})
    yield Purchase("tests", 1.0, "sets", {})
    yield Purchase("thermometer", 1.0, "pieces", {})
    yield Purchase("buckets", BUCKETS, "pieces", {})


def _dosed_g(plan: Blueprint, start: StartDays, own: Ways | None) -> tuple[float, float]:
    """Grams until settled, usual and with a good margin."""
    if own is not None:
        doses = next(each for each in own.ways if each.key == start.way).dose_plan
        if doses is None:
            return 0.0, 0.0
        return doses.dosed_g.p50 or 0.0, doses.dosed_g.p95 or 0.0
    dosed = dosed_mg_per_l(start.way, plan.wish.water_c)
    if dosed is None:
        return 0.0, 0.0
    litres = plan.volumes.net_l
    return 1e-3 * dosed.usual * litres, 1e-3 * dosed.late * litres
