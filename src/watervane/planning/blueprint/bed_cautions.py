"""What a planned bed does by itself: it slides, its grains sift into each other, it takes up KH."""

from __future__ import annotations

import math
from itertools import pairwise

from watervane.chemistry.hardness import MEQ_PER_DKH
from watervane.planning.blueprint.shapes import Vessel
from watervane.records import BedLayer, BedPart, BlueprintWish, Finding, Volumes
from watervane.reference import bed_row, sourced

STEEPEST_DEG = 30.0  # loose round grains lie no steeper: engineering_handbook, from memory
MOST_RATIO = 5.0


def bed_cautions(
    wish: BlueprintWish, vessel: Vessel, parts: tuple[BedPart, ...], volumes: Volumes
) -> list[Finding]:
    """What there is to mind about a bed.

    Parameters
    ----------
    wish
        With its layers.
    vessel
        Its glass.
    parts
        The layers as worked out, the lowest first.
    volumes
        Of the water.
    """
    layers = [layer for layer in wish.layers if layer.material != "none"]
    found = _steep(layers, vessel)
    for (lower, part), (upper, over) in pairwise(zip(layers, parts, strict=True)):
        coarse, fine = _grain_mm(lower), _grain_mm(upper)
        if sifts_through(coarse, fine):
            lost = min(part.bulk_l * part.porosity, over.bulk_l)
            told = {"upper": upper.material, "lower": lower.material, "fine_mm": fine,
                    "coarse_mm": coarse, "lost_l": lost}  # fmt: skip
            found.append(Finding("blueprint-bed-sifts", "caution", told, source="terzaghi_filter"))
    if any(layer.material == "soil" for layer in layers):
        kh = wish.source_water.kh_dkh
        key = "blueprint-bed-soil" if kh is None else "blueprint-bed-soil-kh"
        told = {} if kh is None else {"kh_dkh": kh, "meq": kh * MEQ_PER_DKH * volumes.net_l}
        found.append(Finding(key, "caution", told))
    return found


@sourced("terzaghi_filter", where="a layer holds grains of a fifth of its own back")
def sifts_through(coarse_mm: float, fine_mm: float) -> bool:
    """Whether a fine layer runs down into the gaps of a coarse one under it.

    Parameters
    ----------
    coarse_mm, fine_mm
        Grain of the lower and of the upper layer, each of about one size. [mm]
    """
    return coarse_mm > MOST_RATIO * fine_mm


def _steep(layers: list[BedLayer], vessel: Vessel) -> list[Finding]:
    _, _, front, back = vessel.inner.extent_cm
    rise = abs(sum(layer.back_cm - layer.front_cm for layer in layers))
    angle = math.degrees(math.atan2(rise, back - front))
    if angle <= STEEPEST_DEG:
        return []
    told = {"angle": angle, "most": STEEPEST_DEG}
    return [Finding("blueprint-bed-steep", "caution", told, source="engineering_handbook")]


def _grain_mm(layer: BedLayer) -> float:
    return layer.grain_mm or bed_row(layer.material, "grain").value
