"""The bed of a plan in words: what lies in it, what it does to the water, and every sum."""

from __future__ import annotations

from collections.abc import Iterator

from watervane.records import BedBlend, BedPart, Blueprint, SoilPlan
from watervane.wording.amounts import listed, number
from watervane.wording.templates import phrase
from watervane.wording.whys import Why, why

LEAST_RISE_DKH = 0.1  # that is worth telling
MOST_WEEKS_TOLD = 150.0  # beyond it nobody can tell: house estimate
APART_PERCENT = "4"  # by which published models of blends differ
SOIL = "soil"


def bed_sentence(plan: Blueprint) -> str:
    """What lies in it, and what it does to the water.

    Parameters
    ----------
    plan
        As planned.
    """
    bed = plan.bed
    if not bed.parts:
        return phrase("blueprint-no-bed")
    parts = [_part(plan, part) for part in bed.parts]
    told = [
        phrase(
            "blueprint-bed",
            parts=listed(parts),
            area=number(bed.area_m2, 2),
            depth=number(_mean_depth_cm(plan), 2),
        ),
        *(_blend(each) for each in _blends(plan)),
        phrase("blueprint-bed-rinse-not" if bed.soil else "blueprint-bed-rinse"),
    ]
    if bed.soil is not None:
        told += [_soil(bed.soil), phrase("blueprint-bed-soil-later")]
    return " ".join([*told, *_lime(plan)])


def _part(plan: Blueprint, part: BedPart) -> str:
    bags = phrase(
        "blueprint-bag" if part.bags == 1 else "blueprint-bags",
        count=part.bags,
        bag=number(plan.wish.bag_kg, 2),
    )
    litres, mass = number(part.bulk_l, 2), number(part.mass_kg, 2)
    return phrase("blueprint-bed-part", material=part.material, litres=litres, mass=mass, bags=bags)


def _blends(plan: Blueprint) -> list[BedBlend]:
    """Each once, though two parts tell of it."""
    return list(dict.fromkeys(part.blend for part in plan.bed.parts if part.blend is not None))


def _blend(blend: BedBlend) -> str:
    return phrase(
        "blueprint-bed-blend",
        **_grains(blend),
        gaps=_percent(blend.porosity),
        high=_percent(blend.porosity_between.high),
        apart=APART_PERCENT,
    )


def _grains(blend: BedBlend) -> dict[str, str]:
    return {
        "coarse": blend.coarse_material,
        "fine": blend.fine_material,
        "coarse_mm": number(blend.coarse_mm, 2),
        "fine_mm": number(blend.fine_mm, 2),
    }


def _soil(soil: SoilPlan) -> str:
    told: dict[str, object] = {"ph": soil.held_ph, "kh": soil.held_kh_dkh}
    if soil.lasts_weeks is None:
        key = "blueprint-bed-soil-held" if soil.fills is None else "blueprint-bed-soil-stays"
        return phrase(key, **told)
    weeks = soil.lasts_weeks
    if weeks.low > MOST_WEEKS_TOLD:
        return phrase("blueprint-bed-soil-stays", **told)
    if weeks.high > MOST_WEEKS_TOLD:
        return phrase("blueprint-bed-soil-long", **told, low=number(weeks.low, 2))
    return phrase("blueprint-bed-soil-lasts", **told, weeks=weeks)


def _lime(plan: Blueprint) -> list[str]:
    told = _lime_told(plan)
    ceiling = plan.bed.kh_ceiling_dkh
    if ceiling is None or not told:
        return []
    rises = ceiling.high > (plan.wish.source_water.kh_dkh or 0.0) + LEAST_RISE_DKH
    return [phrase("blueprint-bed-lime" if rises else "blueprint-bed-lime-not", **told)]


def _lime_told(plan: Blueprint) -> dict[str, str]:
    ceiling, acidity = plan.bed.kh_ceiling_dkh, plan.bed.ph_ceiling
    if ceiling is None or acidity is None:
        return {}
    return {
        "low": number(ceiling.low, 2),
        "high": number(ceiling.high, 2),
        "ph_low": number(acidity.low, 2),
        "ph_high": number(acidity.high, 2),
    }


def bed_whys(plan: Blueprint) -> list[Why]:
    """Sums of the bed.

    Parameters
    ----------
    plan
        As planned.
    """
    bed = plan.bed
    found = [each for part in bed.parts for each in _part_whys(plan, part)]
    found += [each for blend in _blends(plan) for each in _blend_whys(plan, blend)]
    if bed.parts:
        found.append(why("why-bed-area", area=number(bed.area_m2, 2)))
        found.append(why("why-bed-depth", depth=number(_mean_depth_cm(plan), 2)))
    lime = _lime_told(plan)
    if lime:
        found.append(why("why-bed-lime", "plummer_busenberg1982", **lime))
    if bed.soil is not None:
        found += _soil_whys(plan, bed.soil)
    return found


def _part_whys(plan: Blueprint, part: BedPart) -> Iterator[Why]:
    bulk = number(part.bulk_l, 2)
    if part.blend is None:
        depth = number(0.1 * part.bulk_l / _floor_m2(plan), 2)
        yield why("why-bed-volume", bulk=bulk, material=part.material, depth=depth)
    else:
        yield why("why-bed-volume-blended", bulk=bulk, material=part.material)
    yield why(
        "why-bed-mass",
        "engineering_handbook",
        porosity=number(part.porosity, 2),
        mass=number(part.mass_kg, 2),
        bag=number(plan.wish.bag_kg, 2),
        bags=part.bags,
    )


def _blend_whys(plan: Blueprint, blend: BedBlend) -> list[Why]:
    bulk = sum(part.bulk_l for part in plan.bed.parts if part.blend == blend)
    return [
        why(
            "why-bed-blend",
            **_grains(blend),
            bulk=number(bulk, 2),
            share=_percent(blend.fine_share),
        ),
        why(
            "why-bed-blend-gaps",
            *("yu_zou_standish1996", "furnas1931"),
            ratio=number(blend.fine_mm / blend.coarse_mm, 2),
            gaps=_percent(blend.porosity),
            low=_percent(blend.porosity_between.low),
            high=_percent(blend.porosity_between.high),
            apart=APART_PERCENT,
        ),
    ]


def _soil_whys(plan: Blueprint, soil: SoilPlan) -> list[Why]:
    net = number(plan.volumes.net_l, 3)
    mass = number(soil.mass_kg, 2)
    found = [
        why(
            "why-bed-soil",
            *("raty2021", "plummer_busenberg1982"),
            mass=mass,
            binds=soil.binds_meq,
            ph=soil.held_ph,
            ph_low=number(soil.held_ph.low, 2),
            ph_high=number(soil.held_ph.high, 2),
            kh=soil.held_kh_dkh,
        )
    ]
    source = plan.wish.source_water.kh_dkh or 0.0
    if soil.fills is not None:
        found.append(
            why(
                "why-bed-soil-lasts",
                net=net,
                source=number(source, 2),
                filling=number(soil.binds_meq.high / soil.fills.high, 2),
                fills=soil.fills,
                fills_low=number(soil.fills.low, 2),
                weekly=number(plan.upkeep.weekly_change_l or 0.0, 2),
                weeks=phrase("why-bed-many") if soil.lasts_weeks is None else soil.lasts_weeks,
            )
        )
    early, late = number(soil.given_days.early, 2), number(soil.given_days.late, 2)
    given = soil.given_mg_n_per_l
    found.append(
        why("why-bed-soil-ammonia", mass=mass, net=net, given=given, early=early, late=late)
    )
    return found


def _floor_m2(plan: Blueprint) -> float:
    return 0.1 * plan.volumes.filled_l / plan.section.water_depth_cm


def _mean_depth_cm(plan: Blueprint) -> float:
    return 0.1 * sum(part.bulk_l for part in plan.bed.parts) / _floor_m2(plan)


def _percent(share: float) -> str:
    return number(100.0 * share, 2)
