"""What stands in a tank: water, bed and decor, by volume and by mass.

A bed that slopes evenly has, over any outline, the volume of its area times its depth at the
centre of that area.
"""

from __future__ import annotations

import math

from watervane.chemistry.density import water_density_kg_per_l
from watervane.planning.blueprint.outline import Outline
from watervane.planning.blueprint.packing import blend_of
from watervane.planning.blueprint.shapes import CannotPlan, Vessel
from watervane.process.geometry import ACTIVE_BED_DEPTH_CM
from watervane.records import (
    BedLayer,
    BedPart,
    BlueprintWish,
    Decor,
    Finding,
    PartMass,
    Volumes,
)
from watervane.reference import (
    bed_row,
    grain_surface_m2_per_m3,
    load_table,
    sourced,
)

GLASS_KG_PER_L = 2.5
BRACE_CM = 5.0  # width of a bracing strip: common practice, no source


@sourced("exact-arithmetic", where="depth at the centre of the area, times the area")
def sloping_l(floor: Outline, front_cm: float, back_cm: float) -> float:
    """Bulk volume of a layer that rises evenly from front to back. [L]

    Parameters
    ----------
    floor
        Inside of the tank.
    front_cm, back_cm
        Depth at the foremost and at the hindmost point. [cm]
    """
    _, _, front, back = floor.extent_cm
    share = (floor.centroid_cm[1] - front) / (back - front)
    return 1e-3 * floor.area_cm2 * (front_cm + share * (back_cm - front_cm))


def bed_parts(wish: BlueprintWish, vessel: Vessel) -> tuple[BedPart, ...]:
    """Each material of the bed, layer by layer, the lowest first.

    Raises
    ------
    CannotPlan
        For a material that no table knows.
    """
    check_layers(wish.layers)
    layers = [layer for layer in wish.layers if layer.material != "none"]
    found: list[tuple[BedPart, ...]] = []
    above_cm = 0.0
    for layer in reversed(layers):  # bacteria live where fresh water reaches: from the top down
        found.append(_parts(layer, vessel, wish.bag_kg, above_cm))
        above_cm += 0.5 * (layer.front_cm + layer.back_cm)
    return tuple(part for parts in reversed(found) for part in parts)


def _parts(layer: BedLayer, vessel: Vessel, bag_kg: float, above_cm: float) -> tuple[BedPart, ...]:
    """One part, or of a blend two, which share the layer as their grains share its solid."""
    bulk = sloping_l(vessel.inner, layer.front_cm, layer.back_cm)
    reached = min(
        max(ACTIVE_BED_DEPTH_CM[layer.material] - above_cm, 0.0),
        0.5 * (layer.front_cm + layer.back_cm),
    )
    reached_m3 = 1e-6 * vessel.inner.area_cm2 * reached
    blend = blend_of(layer)
    if blend is None:
        porosity = bed_row(layer.material, "porosity").value
        grain_mm = layer.grain_mm or bed_row(layer.material, "grain").value
        grains = [(layer.material, grain_mm, 1.0)]
    else:
        porosity = blend.porosity
        grains = [
            (blend.coarse_material, blend.coarse_mm, 1.0 - blend.fine_share),
            (blend.fine_material, blend.fine_mm, blend.fine_share),
        ]
    found = []
    for material, grain_mm, share in grains:
        mass = share * bulk * (1.0 - porosity) * bed_row(material, "grain density").value
        found.append(
            BedPart(
                material=material,
                bulk_l=share * bulk,
                mass_kg=mass,
                bags=math.ceil(mass / bag_kg - 1e-9),
                porosity=porosity,
                area_m2=share * reached_m3 * grain_surface_m2_per_m3(grain_mm, porosity),
                grain_mm=grain_mm,
                blend=blend,
            )
        )
    return tuple(found)


def check_layers(layers: tuple[BedLayer, ...]) -> None:
    """Refuse materials that no table knows, and a blend stirred into no bed.

    Raises
    ------
    CannotPlan
        With every such material and layer.
    """
    found: list[Finding] = []
    for layer in layers:
        blended = layer.blended
        if blended is not None and "none" in (layer.material, blended.material):
            both = {"material": blended.material, "bed": layer.material}
            found.append(Finding("blueprint-bed-none-blended", "problem", both))
            continue
        for name in layer.materials:
            if name not in ACTIVE_BED_DEPTH_CM and name != "none":
                told = {"material": name, "known": list(ACTIVE_BED_DEPTH_CM)}
                found.append(Finding("blueprint-bed-unknown", "problem", told))
    if found:
        raise CannotPlan(found)


def check_depths(layers: tuple[BedLayer, ...], vessel: Vessel) -> None:
    """Refuse a bed that stands above the water.

    Raises
    ------
    CannotPlan
        Where it does.
    """
    highest = sum(max(layer.front_cm, layer.back_cm) for layer in layers)
    if highest >= vessel.water_depth_cm:
        told = {"bed_cm": highest, "water_cm": vessel.water_depth_cm}
        raise CannotPlan([Finding("blueprint-bed-above", "problem", told)])


def decor_l(decor: tuple[Decor, ...]) -> float:
    """Space that stones and wood take. [L]

    Raises
    ------
    CannotPlan
        For a material that no table knows.
    """
    rows = {
        row.extra["kind"]: row.value
        for row in load_table("media")
        if row.quantity == "material density"
    }
    unknown = [each.material for each in decor if each.material not in rows]
    if unknown:
        key = "blueprint-decor-unknown"
        known = list(rows)
        raise CannotPlan(
            [Finding(key, "problem", {"material": each, "known": known}) for each in unknown]
        )
    return sum(each.mass_kg / rows[each.material] for each in decor)


def volumes_of(wish: BlueprintWish, vessel: Vessel, parts: tuple[BedPart, ...]) -> Volumes:
    """Room and water.

    Raises
    ------
    CannotPlan
        Where bed and decor leave no water, or the bed stands above the water line.
    """
    check_depths(wish.layers, vessel)
    area = 1e-3 * vessel.inner.area_cm2
    filled = area * vessel.water_depth_cm
    grains = sum(part.bulk_l * (1.0 - part.porosity) for part in parts)
    stones = decor_l(wish.decor)
    net = filled - grains - stones
    if net < 0.2 * filled:
        told = {"net_l": net, "filled_l": filled}
        raise CannotPlan([Finding("blueprint-no-water", "problem", told)])
    return Volumes(area * vessel.inner_height_cm, filled, grains, stones, net)


def masses_of(
    wish: BlueprintWish, vessel: Vessel, volumes: Volumes, parts: tuple[BedPart, ...]
) -> tuple[PartMass, ...]:
    """Mass of every part, water first."""
    density = float(water_density_kg_per_l(wish.water_c))
    told = [
        ("water", volumes.net_l * density),
        ("glass", GLASS_KG_PER_L * vessel.glass_l),
        ("braces", GLASS_KG_PER_L * _braces_l(wish, vessel)),
        ("bed", sum(part.mass_kg for part in parts)),
        ("decor", sum(each.mass_kg for each in wish.decor)),
        ("equipment", wish.equipment_kg),
        ("stand", wish.stand_kg),
    ]
    return tuple(PartMass(name, mass) for name, mass in told if mass > 0.0)


def _braces_l(wish: BlueprintWish, vessel: Vessel) -> float:
    """Strips round the upper rim, as thick as the panes."""
    if not wish.box.braced:
        return 0.0
    return 1e-3 * BRACE_CM * 0.1 * vessel.glass_mm * vessel.inner.perimeter_cm
