"""From the empty glass to a full tank: what is done when, and what is normal meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from watervane.chemistry.salts import SALTS, dose_for_nitrogen_g
from watervane.planning.blueprint.filters import Load
from watervane.planning.blueprint.heating import warming_up_h
from watervane.planning.blueprint.shapes import Vessel
from watervane.planning.blueprint.soils import SOIL
from watervane.planning.start_kinds import FEW, SALT, open_ways
from watervane.process.food_need import food_need_g_per_d
from watervane.records import (
    Blueprint,
    DayRange,
    PlanBatch,
    PlanStep,
    SoilPlan,
    StartDays,
    Timeline,
    Wish,
)
from watervane.reference import animal_needs

BATCH_EVERY_DAYS = 28.0  # quarantine of the next animals goes on meanwhile: common practice
FIRST_SHARE = 0.5  # of the whole food, where bacteria were fed for all of it: house estimate
# By which ammonia is dosed: as `start_rules.dose_levels` has it, which a test holds them to; that
# module cannot be loaded here, since it brings the model along.
UP_TO_MG_N_PER_L, AGAIN_BELOW_MG_N_PER_L, STOP_ABOVE_MG_N_PER_L = 2.0, 0.5, 3.0
TESTS_APART_DAYS = 2.0
SOIL_CHANGE_MG_N_PER_L = 3.0  # ammonia of fresh soil at which water is changed: house estimate
SET_UP_DAYS_BEFORE, LEAK_TEST_DAYS = 1.0, 3.0
STOCKED_FROM_THE_START = ("animals-first", "seeded-animals", "planted-animals")
GROUPS = ("hardy", "ordinary", "crustacean", "mollusc", "amphibian", "sensitive", "unknown")
# Normal and harmless in a new tank, by days from the filling: common practice, no source.
MEANWHILE = (
    ("haze", DayRange(1.0, 3.0, 10.0)),
    ("brown-film", DayRange(8.0, 14.0, 60.0)),
    ("fuzz", DayRange(3.0, 7.0, 21.0)),
    ("worms", DayRange(7.0, 21.0, 60.0)),
)


def timeline_of(plan: Blueprint, vessel: Vessel, load: Load, start: StartDays) -> Timeline:
    """Lay out all steps.

    Parameters
    ----------
    plan
        Worked out but for its steps.
    vessel, load
        What is planned.
    start
        How long the start takes.
    """
    wish = plan.wish
    begin = 1.0  # the morning after the filling
    settled, ready = _after(start.settled, begin), _after(start.ready, begin)
    stocked = start.way in STOCKED_FROM_THE_START
    nobody = bool(wish.wanted) and not wish.animals
    batches = (
        () if nobody else batches_of(wish.animals, load, wish.water_c, settled, stocked=stocked)
    )
    return Timeline(
        filled=wish.filled,
        start=start,
        steps=(
            *_before(plan),
            *_filling(plan, vessel),
            *_start(plan, start, begin, settled, ready),
            *(() if nobody else _stocking(batches, settled, stocked=stocked)),
        ),
        meanwhile=tuple(
            PlanStep(key, days, "practice", {})
            for key, days in MEANWHILE
            if key != "fuzz" or any(each.material == "wood" for each in wish.decor)
        ),
        batches=batches,
    )


def _on(day: float) -> DayRange:
    return DayRange(day, day, day)


def _after(days: DayRange, begin: float) -> DayRange:
    return DayRange(days.early + begin, days.usual + begin, days.late + begin, days.open_end)


def _before(plan: Blueprint) -> list[PlanStep]:
    wish = plan.wish
    found = []
    if wish.second_hand:
        first = -SET_UP_DAYS_BEFORE - LEAK_TEST_DAYS
        days = DayRange(first, first, -SET_UP_DAYS_BEFORE)
        found.append(PlanStep("leak-test", days, "practice", {"days": LEAK_TEST_DAYS}))
    eve = _on(-SET_UP_DAYS_BEFORE)
    masses = {"total_kg": plan.total_kg, "carried_kg": plan.carried_kg}
    set_up = "set-up-shelf" if plan.wish.support == "shelf" else "set-up"
    found.append(PlanStep(set_up, eve, "practice", masses))
    rinsed = [part for part in plan.bed.parts if part.material != SOIL]  # soil falls apart
    if rinsed:
        mass = sum(part.mass_kg for part in rinsed)
        found.append(PlanStep("rinse", eve, "practice", {"mass_kg": mass}))
    return found


def _filling(plan: Blueprint, vessel: Vessel) -> list[PlanStep]:
    upkeep, heat, wish = plan.upkeep, plan.heat, plan.wish
    water = {"net_l": plan.volumes.net_l}
    told = {"dose_g": upkeep.conditioner_first_g, "assumed": upkeep.disinfectant_assumed}
    found = [
        PlanStep("fill", _on(0.0), "sums", water),
        PlanStep("condition", _on(0.0), "sums", told),
    ]
    if upkeep.salts_first_g:
        found.append(PlanStep("salts", _on(0.0), "sums", dict(upkeep.salts_first_g)))
    power = wish.heater_w or heat.heater_w
    if power > 0.0 and heat.enough is not False:
        hours = warming_up_h(wish, vessel, plan.volumes.net_l, power)
        warm = {"hours": hours, "water_c": wish.water_c, "power_w": power}
        days = DayRange(0.0, hours / 24.0, hours / 24.0)
        found.append(PlanStep("heat", days, "sums", warm))
    return found


def _start(
    plan: Blueprint, start: StartDays, begin: float, settled: DayRange, ready: DayRange
) -> list[PlanStep]:
    origin = "own run" if start.own else "prior"
    told: dict[str, object] = {"way": start.way, "food_g": plan.filter.food_g_per_d}
    told |= _first_dose(plan, start)
    soil = () if plan.bed.soil is None else (_fresh_soil(plan.bed.soil, begin),)
    within = {"share": start.share_within, "days": start.horizon_days}
    return [
        *soil,
        PlanStep("start", _on(begin), "sums", told),
        PlanStep("settled", settled, origin, within),
        PlanStep("ready", ready, origin, {}),
    ]


def _fresh_soil(soil: SoilPlan, begin: float) -> PlanStep:
    days = DayRange(begin, begin, soil.given_days.late)
    return PlanStep("soil", days, "practice", {"most": SOIL_CHANGE_MG_N_PER_L})


def _first_dose(plan: Blueprint, start: StartDays) -> dict[str, object]:
    """What of the salt is weighed first, and by which readings it goes on, where salt is dosed."""
    ways = open_ways(occupied=False, planted=False)
    if not any(way.key == start.way and way.dosed == SALT for way in ways):
        return {}
    net_l = plan.volumes.net_l
    load = TESTS_APART_DAYS * plan.upkeep.nitrate_mg_n_per_d / net_l
    up_to = min(max(UP_TO_MG_N_PER_L, load), 2.0 * UP_TO_MG_N_PER_L)
    return {
        "dose_g": float(dose_for_nitrogen_g(SALTS["ammonium-chloride"], up_to, net_l)),
        "up_to": up_to,
        "again_below": AGAIN_BELOW_MG_N_PER_L,
        "stop_above": STOP_ABOVE_MG_N_PER_L,
    }


def _stocking(batches: Sequence[PlanBatch], settled: DayRange, *, stocked: bool) -> list[PlanStep]:
    found = []
    if not stocked:
        found.append(PlanStep("last-dose", settled, "practice", {}))
    for number, batch in enumerate(batches):
        key = "first-animals" if number == 0 else "later-animals"
        told: dict[str, object] = {
            "animals": [(each.species, each.count) for each in batch.animals],
            "share": batch.food_share,
            "number": number + 1,
        }
        found.append(PlanStep(key, batch.days, "practice", told))
    return found


def batches_of(
    animals: Sequence[Wish],
    load: Load,
    water_c: float,
    settled: DayRange,
    *,
    stocked: bool,
) -> tuple[PlanBatch, ...]:
    """Who joins when: hardy and cheap to feed first, each batch doubling the load at the most.

    Where bacteria were fed for the whole food, half of it may come at once; where a few animals
    made the start, a third of it was in from the first day.

    Parameters
    ----------
    animals
        All that are wished for; without any, shares of the load are laid out.
    load
        Of the plan.
    water_c
        [degC]
    settled
        Days from the filling.
    stocked
        Whether animals are in from the start.
    """
    whole = load.food_g_per_d
    needs = _needs_g_per_d(animals, load, water_c)
    total = sum(count * need for count, need in zip((a.count for a in animals), needs, strict=True))
    scale = whole / total if total > 0.0 else 1.0  # told food is shared out by need
    queue = sorted(
        ((each, scale * need) for each, need in zip(animals, needs, strict=True)), key=_gentle
    )
    found: list[PlanBatch] = []
    inside, room = 0.0, FIRST_SHARE * whole
    if stocked:
        room = FEW * whole
        days = _on(1.0)
    else:
        days = settled
    while queue or (not animals and inside < whole * (1.0 - 1e-9)):
        joined, food = _joining(queue, room) if animals else ((), min(room, whole - inside))
        inside += food
        found.append(PlanBatch(days, joined, food, inside / whole if whole else 1.0))
        days = settled if stocked and len(found) == 1 else _after(days, BATCH_EVERY_DAYS)
        room = inside
    return tuple(found)


def _joining(queue: list[tuple[Wish, float]], room: float) -> tuple[tuple[Wish, ...], float]:
    """Take whole wishes off the queue while there is room; part of one only if it comes first."""
    joined: list[Wish] = []
    food = 0.0
    while queue:
        wish, need = queue[0]
        fits = int((room - food) / need + 1e-9) if need > 0.0 else wish.count
        if fits < wish.count and joined:
            break
        count = min(max(fits, 1), wish.count)
        joined.append(Wish(wish.species, count, wish.length_cm))
        food += count * need
        if count < wish.count:
            queue[0] = (Wish(wish.species, wish.count - count, wish.length_cm), need)
            break
        queue.pop(0)
    return tuple(joined), food


def _needs_g_per_d(animals: Sequence[Wish], load: Load, water_c: float) -> list[float]:
    """Daily food of one animal of each wish; masses of the load stand in the order of wishes."""
    firsts = accumulate((each.count for each in animals), initial=0)
    each_of = [
        (load.animals_g[first], load.of_each[first])
        for first, _ in zip(firsts, animals, strict=False)
    ]
    return [share * food_need_g_per_d(mass, water_c).centre for mass, share in each_of]


def _gentle(told: tuple[Wish, float]) -> tuple[int, float]:
    wish, need = told
    return GROUPS.index(animal_needs(wish.species).group("ammonia group")), need * wish.count
