"""How much water two grains leave between them once they are stirred together.

The finer ones settle in the gaps of the coarser, and each hinders the other from lying as closely
as it would among its like. Between two ends that are exact: grains so fine that they only fill
gaps, and grains that lie apart.
"""

from __future__ import annotations

import math

from watervane.records import BedBlend, BedLayer, Span
from watervane.reference import bed_row, sourced

PASSES_RATIO = 0.154  # of its diameter: what slips between three touching grains of another
MODELS_APART = 0.04  # of porosity, by which two published models differ at the most


@sourced(
    "yu_zou_standish1996", where="f = (1 - r)^3.3 + 2.8 r (1 - r)^2.7", valid={"size_ratio": (0, 1)}
)
def filling_share(size_ratio: float) -> float:
    """How far a finer grain fills the gaps of a coarser: 1 wholly, 0 not at all.

    Parameters
    ----------
    size_ratio
        Fine over coarse. [-]
    """
    apart = 1.0 - size_ratio
    return math.pow(apart, 3.3) + 2.8 * size_ratio * math.pow(apart, 2.7)


@sourced(
    "yu_zou_standish1996", where="g = (1 - r)^2.0 + 0.4 r (1 - r)^3.7", valid={"size_ratio": (0, 1)}
)
def occupying_share(size_ratio: float) -> float:
    """How far a coarser grain takes the place of finer ones and their gaps: 1 wholly, 0 not at all.

    Parameters
    ----------
    size_ratio
        Fine over coarse. [-]
    """
    apart = 1.0 - size_ratio
    return apart * apart + 0.4 * size_ratio * math.pow(apart, 3.7)


@sourced("yu_zou_standish1996", where="V = max(V coarse, V fine)", valid={"fine_share": (0, 1)})
def blended_porosity(
    coarse_porosity: float, fine_porosity: float, fine_share: float, size_ratio: float
) -> float:
    """Share of water in a blend of two grains, poured and stirred.

    Parameters
    ----------
    coarse_porosity, fine_porosity
        Of each alone. [-]
    fine_share
        Of all grains by volume. [-]
    size_ratio
        Fine over coarse. [-]

    Returns
    -------
    float
        [-]
    """
    coarse, fine = 1.0 / (1.0 - coarse_porosity), 1.0 / (1.0 - fine_porosity)
    rest = 1.0 - fine_share
    filled = coarse * rest + fine * (1.0 - filling_share(size_ratio)) * fine_share
    occupied = (coarse - (coarse - 1.0) * occupying_share(size_ratio)) * rest + fine * fine_share
    return 1.0 - 1.0 / max(filled, occupied)


@sourced("furnas1931", where="fines that only fill gaps", valid={"fine_share": (0, 1)})
def blended_porosity_between(
    coarse_porosity: float, fine_porosity: float, fine_share: float
) -> Span:
    """From fines without size to grains that lie apart, whatever their sizes.

    Parameters
    ----------
    coarse_porosity, fine_porosity
        Of each alone. [-]
    fine_share
        Of all grains by volume. [-]
    """
    ends = (
        blended_porosity(coarse_porosity, fine_porosity, fine_share, ratio) for ratio in (0.0, 1.0)
    )
    return Span(*ends)


def blend_of(layer: BedLayer) -> BedBlend | None:
    """The blend of a layer; ``None`` where it is of one grain.

    Parameters
    ----------
    layer
        Of materials the table knows.

    Raises
    ------
    UnknownNameError
        For any other.
    """
    other = layer.blended
    if other is None:
        return None
    grains = {
        "first": (layer.material, _grain_mm(layer.material, layer.grain_mm), 1 - other.mass_share),
        "second": (other.material, _grain_mm(other.material, other.grain_mm), other.mass_share),
    }
    solid = {
        name: share / bed_row(material, "grain density").value
        for name, (material, _, share) in grains.items()
    }
    coarse, fine = sorted(grains, key=lambda name: -grains[name][1])
    share = solid[fine] / (solid[coarse] + solid[fine])
    coarse_gaps, fine_gaps = (bed_row(grains[n][0], "porosity").value for n in (coarse, fine))
    return BedBlend(
        coarse_material=grains[coarse][0],
        coarse_mm=grains[coarse][1],
        fine_material=grains[fine][0],
        fine_mm=grains[fine][1],
        fine_share=share,
        porosity=blended_porosity(
            coarse_gaps, fine_gaps, share, grains[fine][1] / grains[coarse][1]
        ),
        porosity_between=blended_porosity_between(coarse_gaps, fine_gaps, share),
    )


def one_grain_mm(blend: BedBlend) -> float:
    """The single grain that offers as much surface as both together. [mm]

    Parameters
    ----------
    blend
        Of a layer.
    """
    fine = blend.fine_share
    return 1.0 / ((1.0 - fine) / blend.coarse_mm + fine / blend.fine_mm)


def parts_again(blend: BedBlend) -> bool:
    """Whether the finer grains slip down between the coarser by themselves.

    Parameters
    ----------
    blend
        Of a layer.
    """
    return blend.fine_mm < PASSES_RATIO * blend.coarse_mm


def _grain_mm(material: str, told_mm: float | None) -> float:
    return told_mm or bed_row(material, "grain").value
