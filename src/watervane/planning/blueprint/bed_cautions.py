"""What a planned bed does by itself: it slides, sifts, parts again, moves KH and pH."""

from __future__ import annotations

import math
from itertools import pairwise

from watervane.planning.blueprint.packing import blend_of, parts_again
from watervane.planning.blueprint.shapes import Vessel
from watervane.planning.choosing.stock import kinds_of
from watervane.records import BedLayer, BedPart, BedPlan, BlueprintWish, Finding, SoilPlan, Span
from watervane.reference import CatalogueAnimal, bed_row, sourced

STEEPEST_DEG = 30.0  # loose round grains lie no steeper: engineering_handbook, from memory
MOST_RATIO = 5.0
HOLDS_BACK_SHARE = 0.15  # of a layer's mass decides what falls through it: terzaghi_filter
LEAST_RISE_DKH = 0.1  # that counts


def bed_cautions(wish: BlueprintWish, vessel: Vessel, bed: BedPlan) -> list[Finding]:
    """What there is to mind about a bed.

    Parameters
    ----------
    wish
        With its layers.
    vessel
        Its glass.
    bed
        As worked out.
    """
    layers = [layer for layer in wish.layers if layer.material != "none"]
    found = _steep(layers, vessel)
    for lower, upper in pairwise(zip(layers, _by_layer(layers, bed.parts), strict=True)):
        found += _sifting(*lower, *upper)
    for layer in layers:
        blend = blend_of(layer)
        if blend is not None and parts_again(blend):
            told = {"fine": blend.fine_material, "coarse": blend.coarse_material,
                    "fine_mm": blend.fine_mm, "coarse_mm": blend.coarse_mm}  # fmt: skip
            found.append(
                Finding("blueprint-bed-parts-again", "caution", told, source="yu_standish1991")
            )
    if bed.soil is not None:
        found.append(_soil(wish, bed.soil))
    return [*found, *_against_bed(wish, bed)]


def _by_layer(layers: list[BedLayer], parts: tuple[BedPart, ...]) -> list[list[BedPart]]:
    """Parts of each layer, in order: two of a blend."""
    rest, found = list(parts), []
    for layer in layers:
        count = len(layer.materials)
        found.append(rest[:count])
        rest = rest[count:]
    return found


def _sifting(
    lower: BedLayer, under: list[BedPart], upper: BedLayer, over: list[BedPart]
) -> list[Finding]:
    coarse, fine = _holding_back_mm(lower), _finest_mm(upper)
    if not sifts_through(coarse, fine):
        return []
    gaps = sum(part.bulk_l * part.porosity for part in under)
    told = {
        "upper": upper.material,
        "lower": lower.material,
        "fine_mm": fine,
        "coarse_mm": coarse,
        "lost_l": min(gaps, sum(part.bulk_l for part in over)),
    }
    return [Finding("blueprint-bed-sifts", "caution", told, source="terzaghi_filter")]


@sourced("terzaghi_filter", where="a layer holds grains of a fifth of its own back")
def sifts_through(coarse_mm: float, fine_mm: float) -> bool:
    """Whether a fine layer runs down into the gaps of a coarse one under it.

    Parameters
    ----------
    coarse_mm, fine_mm
        Grain of the lower and of the upper layer, each of about one size. [mm]
    """
    return coarse_mm > MOST_RATIO * fine_mm


def _holding_back_mm(layer: BedLayer) -> float:
    """The grain by which a layer holds others back: its finer one, where there is enough of it."""
    blend = blend_of(layer)
    if blend is None:
        return _grain_mm(layer)
    return blend.fine_mm if blend.fine_share >= HOLDS_BACK_SHARE else blend.coarse_mm


def _finest_mm(layer: BedLayer) -> float:
    blend = blend_of(layer)
    return _grain_mm(layer) if blend is None else blend.fine_mm


def _soil(wish: BlueprintWish, soil: SoilPlan) -> Finding:
    told: dict[str, object] = {
        "given_low": soil.given_mg_n_per_l.low,
        "given_high": soil.given_mg_n_per_l.high,
        "early": soil.given_days.early,
        "late": soil.given_days.late,
    }
    if soil.fills is None:
        return Finding("blueprint-bed-soil", "caution", told)
    told |= {
        "kh_dkh": wish.source_water.kh_dkh or 0.0,
        "fills_low": soil.fills.low,
        "fills_high": soil.fills.high,
    }
    return Finding("blueprint-bed-soil-kh", "caution", told)


def _against_bed(wish: BlueprintWish, bed: BedPlan) -> list[Finding]:
    """Animals whose waters never meet what the bed makes of it."""
    kinds = [animal for animal, _ in kinds_of(wish).values()]
    soil = bed.soil
    found = []
    for what, hardness, acidity in (
        ("lime", bed.kh_ceiling_dkh, bed.ph_ceiling),
        ("soil", soil.held_kh_dkh if soil else None, soil.held_ph if soil else None),
    ):
        if hardness is None or acidity is None:
            continue
        if what == "lime" and hardness.high <= (wish.source_water.kh_dkh or 0.0) + LEAST_RISE_DKH:
            continue  # it moves nothing
        names = [_called(each) for each in kinds if _misses(each, hardness, acidity)]
        if names:
            told = {"names": names, "ph": acidity, "kh": hardness}
            found.append(Finding(f"blueprint-bed-{what}-unsuited", "caution", told))
    return found


def _called(animal: CatalogueAnimal) -> str:
    return animal.common_names[0] if animal.common_names else animal.scientific_name


def _misses(animal: CatalogueAnimal, hardness: Span, acidity: Span) -> bool:
    pairs = ((animal.kh_dkh, hardness), (animal.ph, acidity))
    return any(
        wanted is not None and (wanted.low > there.high or wanted.high < there.low)
        for wanted, there in pairs
    )


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
