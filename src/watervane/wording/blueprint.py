"""A plan in sentences: weight, glass, bed, filter, air, warmth, upkeep; then the figures."""

from __future__ import annotations

from watervane.records import Blueprint, FilterPlan, FloorShare, HeatDay, Pane
from watervane.wording.amounts import listed, number, plain
from watervane.wording.blueprint_bed import bed_sentence
from watervane.wording.blueprint_steps import shopping_table, upkeep_sentence
from watervane.wording.plan_section import section_reach_cm
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

LONGEST_BUCKET_S = 3600.0  # slower flows are not told
LIKE_CM = 0.1  # sizes no farther apart are told to be the same


def blueprint_title(plan: Blueprint) -> str:
    """Heading over all of it."""
    net = number(plan.volumes.net_l, 2)
    return phrase("blueprint-title", name=plan.wish.name, net=net)


def blueprint_sentences(plan: Blueprint) -> list[str]:
    """What a keeper has to know, each subject in a paragraph."""
    return list(blueprint_subjects(plan).values())


def blueprint_subjects(plan: Blueprint) -> dict[str, str]:
    """The same by subject: water, floor, glass, bed, filter, air, light, heat, upkeep."""
    return {
        "water": _water(plan),
        "floor": _floor(plan),
        "glass": _glass(plan),
        "bed": bed_sentence(plan),
        "filter": _filter(plan),
        "air": _air(plan),
        "light": _light(plan),
        "heat": _warm(plan),
        "upkeep": upkeep_sentence(plan),
    }


def blueprint_tables(plan: Blueprint) -> list[NumberTable]:
    """Shopping list, masses, panes, floor and heat in figures."""
    return list(blueprint_figures(plan).values())


def blueprint_figures(plan: Blueprint) -> dict[str, NumberTable]:
    """The same by what they are of: shopping, masses, panes, shares of the floor, heat."""
    tables = {
        "shopping": shopping_table(plan),
        "masses": _masses(plan),
        "panes": _panes(plan),
    }
    if plan.floor.shares:
        tables["shares"] = _shares(plan)
    return {**tables, "heat": _heat(plan)}


def _water(plan: Blueprint) -> str:
    told, wish = plan.volumes, plan.wish
    weighs = phrase(
        "blueprint-water",
        net=number(told.net_l, 3),
        brimful=number(told.brimful_l, 3),
        grains=number(told.grains_l + told.decor_l, 2),
        total=number(plan.total_kg, 3),
    )
    masses = {"stand": wish.stand_kg, "equipment": wish.equipment_kg}
    untold = [phrase(f"blueprint-untold-{name}") for name, mass in masses.items() if mass == 0.0]
    if not untold:
        return weighs
    return f"{weighs} {phrase('blueprint-mass-untold', parts=listed(untold))}"


def _floor(plan: Blueprint) -> str:
    told = _borne_by_floor(plan)
    if plan.wish.support != "shelf":
        return told
    return f"{phrase('blueprint-floor-shelf', total=number(plan.carried_kg, 3))} {told}"


def _borne_by_floor(plan: Blueprint) -> str:
    floor = plan.floor
    if not floor.shares:
        return phrase("blueprint-floor-none", pressure=number(floor.pressure_kpa, 2))
    asked = [each for each in floor.shares if each.placing == floor.asked]
    best = min(floor.shares, key=_worse)
    told = asked[0] if asked else best
    key = "blueprint-floor-asked" if asked else "blueprint-floor-best"
    if asked and told is best:
        key = "blueprint-floor-asked-best"
    said = phrase(
        key,
        placing=_placing(plan, told),
        share=_percent(_worse(told)),
        best=_placing(plan, best),
        best_share=_percent(_worse(best)),
        design=number(floor.design_kpa, 2),
        pressure=number(floor.pressure_kpa, 2),
    )
    return " ".join(filter(None, (said, _why_there(plan, best))))


def _lies_alike(plan: Blueprint) -> bool:
    """Whether it is as long as it is wide, so that it lies one way as it lies the other."""
    length, width = section_reach_cm(plan)
    return abs(length - width) < LIKE_CM


def _placing(plan: Blueprint, share: FloorShare) -> str:
    """How it is placed; a slab has no joists to lie across."""
    if _lies_alike(plan):
        return phrase(f"blueprint-any-{share.placing.partition('-')[2]}")
    slab = "slab-" if plan.wish.floor.kind == "concrete" else ""
    return phrase(f"blueprint-{slab}{share.placing}")


def _why_there(plan: Blueprint, best: FloorShare) -> str:
    """Why the best place is no worse than the same tank turned the same way at the other place."""
    at_wall = best.placing.endswith("at-wall")
    way = best.placing.partition("-")[0]
    elsewhere = f"{way}-{'in-the-middle' if at_wall else 'at-wall'}"
    other = next(each for each in plan.floor.shares if each.placing == elsewhere)
    if at_wall:
        if best.bending_share >= other.bending_share:
            return ""
        key = "blueprint-floor-bent-less"
        if best.shear_share > best.bending_share:
            key = "blueprint-floor-bent-less-sheared"
        values = (best.bending_share, other.bending_share)
    elif plan.wish.floor.kind == "concrete" and best.width_cm > other.width_cm:
        return phrase(
            "blueprint-floor-spread", best=number(best.width_cm, 2), other=number(other.width_cm, 2)
        )
    elif best.shear_share < other.shear_share:
        key, values = "blueprint-floor-sheared-less", (best.shear_share, other.shear_share)
    else:
        return ""
    return phrase(key, best=_percent(values[0]), other=_percent(values[1]))


def _worse(share: FloorShare) -> float:
    return max(share.bending_share, share.shear_share)


def _percent(share: float) -> str:
    return number(100.0 * share, 2)


def _glass(plan: Blueprint) -> str:
    worst = plan.panes[0]
    return phrase(
        f"blueprint-pane-{worst.way}",
        part=phrase(f"blueprint-part-{worst.part}"),
        stress=number(worst.stress_mpa, 2),
        factor=number(worst.strength_factor, 2),
        thickness=number(worst.thickness_mm, 2),
        standard=number(worst.standard_mm, 2),
        custom=number(worst.custom_mm, 2),
        bent=number(worst.deflection_mm, 1),
    )


def _filter(plan: Blueprint) -> str:
    sieve = plan.filter
    told = phrase(
        "blueprint-filter",
        food=number(sieve.food_g_per_d, 2),
        ammonia=number(sieve.ammonia_mg_n_per_d, 2),
        litres=number(sieve.media_l.high, 2),
        least=number(sieve.media_l.low, 2),
        media=sieve.media,
        target=number(plan.wish.target_ammonia_mg_n_per_l, 2),
        flow=number(max(sieve.ammonia_flow_l_per_h, sieve.oxygen_flow_l_per_h), 2),
        usual=number(sieve.usual_flow_l_per_h, 2),
        bucket=_bucket(plan),
    )
    return f"{told} {phrase('blueprint-young-counted')}" if sieve.young_counted else told


def _bucket(plan: Blueprint) -> str:
    """How fast a bucket fills, and at what time the media want cleaning."""
    sieve, flow = plan.filter, plan.wish.flow_l_per_h
    clean = clean_at_seconds(sieve)
    told = {"seconds": number(sieve.bucket_seconds, 2), "clean": number(clean, 2)}
    if flow is None:
        said = phrase("blueprint-bucket-usual", **told)
    else:
        turnover = number(sieve.turnover_per_h or 0.0, 2)
        said = phrase("blueprint-bucket-at-hand", flow=number(flow, 2), turnover=turnover, **told)
    if not clean < sieve.slowest_bucket_seconds < LONGEST_BUCKET_S:
        return said
    slowest = number(sieve.slowest_bucket_seconds, 2)
    return f"{said} {phrase('blueprint-bucket-late', slowest=slowest)}"


def clean_at_seconds(sieve: FilterPlan) -> float:
    """Time of a bucket at which media are cleaned: twice what it was, or when flow is spent. [s]"""
    return max(min(2.0 * sieve.bucket_seconds, sieve.slowest_bucket_seconds), sieve.bucket_seconds)


def _light(plan: Blueprint) -> str:
    light = plan.light
    return phrase(
        "blueprint-light-none" if plan.wish.plants == "none" else "blueprint-light",
        hours=number(light.hours_per_d, 1),
        first=number(light.first_hours_per_d, 1),
        days=number(light.first_days, 2),
    )


def _air(plan: Blueprint) -> str:
    air = plan.oxygen
    key = "blueprint-air-none" if air.air_needed_l_per_h <= 0.0 else "blueprint-air"
    return phrase(
        key,
        warm=number(air.temperature_c, 3),
        holds=number(air.saturation_mg_per_l, 2),
        stirred=number(air.stirred_mg_per_l, 2),
        still=number(air.still_mg_per_l, 2),
        wanted=number(air.wanted_mg_per_l, 2),
        air=number(air.air_needed_l_per_h, 2),
    )


def _warm(plan: Blueprint) -> str:
    heat = plan.heat
    if heat.heater_w == 0.0:
        return phrase("blueprint-no-heater", water=plain(plan.wish.water_c))
    told = phrase(
        "blueprint-heater",
        water=plain(plan.wish.water_c),
        power=plain(heat.heater_w),
        half=plain(heat.half_heater_w),
        duty=_percent(heat.duty),
        stuck=number(heat.one_stuck_c, 3),
        half_stuck=number(heat.two_stuck_c, 3),
        failed=number(heat.one_failed_c, 3),
        half_failed=number(heat.two_failed_c, 3),
    )
    yearly = phrase(
        "blueprint-energy-lid" if plan.wish.lid else "blueprint-energy-open",
        energy=number(heat.energy_kwh_per_year, 2),
        other=number(heat.energy_other_lid_kwh_per_year, 2),
    )
    if heat.cost_per_year is None:
        return f"{told} {yearly}"
    return f"{told} {yearly} {phrase('blueprint-cost', cost=number(heat.cost_per_year, 2))}"


def _masses(plan: Blueprint) -> NumberTable:
    rows = [(phrase(f"blueprint-mass-{p.part}"), number(p.mass_kg, 3)) for p in plan.masses]
    rows.append((phrase("blueprint-mass-total"), number(plan.total_kg, 3)))
    headers = (phrase("blueprint-part"), phrase("blueprint-kg"))
    title, caption = phrase("blueprint-masses"), phrase("blueprint-masses-caption")
    return NumberTable(title, caption, headers, tuple(rows))


def _panes(plan: Blueprint) -> NumberTable:
    headers = tuple(
        phrase(f"blueprint-{name}")
        for name in ("pane", "lying", "stress", "factor", "standard-mm", "custom-mm", "bent")
    )
    rows = tuple(_pane(pane) for pane in plan.panes)
    return NumberTable(phrase("blueprint-panes"), phrase("blueprint-panes-caption"), headers, rows)


def _pane(pane: Pane) -> tuple[str, ...]:
    return (
        phrase(f"blueprint-part-{pane.part}"),
        f"{number(pane.length_cm, 3)} x {number(pane.height_cm, 3)}",
        number(pane.stress_mpa, 2),
        number(pane.strength_factor, 2),
        number(pane.standard_mm, 2),
        number(pane.custom_mm, 2),
        number(pane.deflection_mm, 2),
    )


def _shares(plan: Blueprint) -> NumberTable:
    rows = tuple(
        (
            _placing(plan, each),
            _percent(each.bending_share),
            _percent(each.shear_share),
            number(each.width_cm, 2),
        )
        for each in plan.floor.shares
        if not (_lies_alike(plan) and each.placing.startswith("along"))
    )
    headers = tuple(
        phrase(f"blueprint-{name}") for name in ("placing", "bending", "shear", "strip-cm")
    )
    caption = phrase(
        "blueprint-shares-caption",
        design=number(plan.floor.design_kpa, 2),
        span=number(plan.floor.span_cm, 3),
    )
    return NumberTable(phrase("blueprint-shares"), caption, headers, rows)


def _heat(plan: Blueprint) -> NumberTable:
    headers = tuple(
        phrase(f"blueprint-{name}")
        for name in ("day", "evaporation", "panes-lose", "surface", "all", "litres")
    )
    rows = tuple(_day(day) for day in plan.heat.days)
    caption = phrase("blueprint-heat-caption", water=number(plan.wish.water_c, 3))
    return NumberTable(phrase("blueprint-heat"), caption, headers, rows)


def _day(day: HeatDay) -> tuple[str, ...]:
    key = "blueprint-day-lid" if day.lid else "blueprint-day-open"
    return (
        phrase(key, room=number(day.room_c, 3)),
        number(day.evaporation_w, 2),
        number(day.glass_w, 2),
        number(day.surface_w, 2),
        number(day.total_w, 2),
        number(day.evaporation_l_per_d, 2),
    )
