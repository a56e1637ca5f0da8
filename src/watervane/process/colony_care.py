"""What cleaning, seeding, moving media and treatments leave of the colonies.

Shares kept come from the table of events: house estimates with honest width, since no
publication was found that measures them for home filters.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from watervane.process.day_program import Action
from watervane.process.rates.nitrifiers import HABITATS
from watervane.records import Clean, MediaMoved, Seed, Span, Treatment
from watervane.reference import media_surface_m2_per_m3, value

CLEANED_KEEPS = {
    ("filter", "tank water"): "kept_rinse_tank_water",
    ("filter", "tap water"): "kept_rinse_tap_water",
    ("filter", "replaced"): "kept_replaced",
    ("bed", "tank water"): "kept_bed_vacuumed",
    ("bed", "tap water"): "kept_bed_tap_water",
    ("bed", "replaced"): "kept_replaced",
    ("glass", "tank water"): "kept_glass_wiped",
    ("glass", "tap water"): "kept_glass_wiped",
    ("glass", "replaced"): "kept_replaced",
}
WASTE_KEEPS = {
    "food_nitrogen": "kept_waste_food",
    "carrion_nitrogen": "kept_waste_carrion",
    "organic_matter": "kept_waste_matter",
}
SEED_KEEPS = {
    "fresh": ("kept_fresh",),
    "rinsed in tank water": ("kept_fresh", "kept_rinse_tank_water"),
    "rinsed under tap": ("kept_fresh", "kept_rinse_tap_water"),
    "dried": ("kept_dried",),
}
USUAL_FILTER_AREA_M2 = 0.4  # of 0.4 L of sponge, where the filter is not known
_Z95 = 1.959964
WATER_AREA_M2_PER_L = 0.0005
DECOR_AREA_M2 = 0.1
DEFAULT_SEED_L = 0.2


def clean_action(at_d: float, event: Clean) -> Action:
    """Part of the colony of one habitat washes off, or what rots is taken out."""
    if event.part == "waste":
        kept_waste = {name: value(row).value for name, row in WASTE_KEEPS.items()}
        return Action(at_d, vectors={"keep": kept_waste})
    kept = kept_share(CLEANED_KEEPS[event.part, event.how])
    habitat = {"filter": "filter", "bed": "bed", "glass": "surface"}[event.part]
    return keeping_action(at_d, {habitat: kept})


def media_moved_action(at_d: float, event: MediaMoved) -> Action:
    """Part of the filter media leaves with its colony."""
    return keeping_action(at_d, {"filter": Span.exact(1.0 - event.fraction)})


def treatment_action(at_d: float, event: Treatment) -> Action:
    """A medicine kills part of the colonies everywhere."""
    kept = kept_share("kept_treatment_other")
    if event.colony_kill is not None:
        kept = Span(1.0 - event.colony_kill.high, 1.0 - event.colony_kill.low)
    return keeping_action(at_d, dict.fromkeys(HABITATS, kept))


def kept_share(row_id: str) -> Span:
    """The share of a colony that is kept, by a row of the table of events."""
    row = value(row_id)
    return Span(
        row.value if row.low is None else row.low, row.value if row.high is None else row.high
    )


def keeping_action(at_d: float, kept: Mapping[str, Span]) -> Action:
    """What is left of the colonies at a moment.

    Parameters
    ----------
    at_d
        The moment. [d]
    kept
        Share kept by habitat, all of it where none is named. [-]
    """
    spans = [kept.get(h, Span.exact(1.0)) for h in HABITATS]
    return Action(
        at_d,
        habitats={
            "colony_keep_low": [s.low for s in spans],
            "colony_keep_high": [s.high for s in spans],
        },
    )


def seed_action(
    at_d: float, event: Seed, volume_l: float, filter_area_m2: float = USUAL_FILTER_AREA_M2
) -> Action:
    """Bring in the colonies of so much mature surface, in its condition.

    Nobody knows what lives in a bottle: a share of the colony the filter would grow, uncertain
    over orders of magnitude.
    """
    if event.source == "bottle":
        return _bottle_action(at_d, filter_area_m2 / volume_l)
    area, habitat = seed_area_m2(event)
    low, high = 1.0, 1.0
    for row_id in SEED_KEEPS[event.condition]:
        kept = kept_share(row_id)
        low, high = low * kept.low, high * kept.high
    waited = math.exp(-value("wet_out_of_water_loss_per_h").value * event.hours_out_of_water)
    return Action(
        at_d,
        {"seed_keep_low": low * waited, "seed_keep_high": high * waited},
        habitats={"seed_area_per_l": [area / volume_l if h == habitat else 0.0 for h in HABITATS]},
    )


def _bottle_action(at_d: float, area_per_l: float) -> Action:
    row = value("seed_bottle_share")
    low, high = row.low or row.value, row.high or row.value
    return Action(
        at_d,
        {
            "seed_keep_low": row.value,
            "seed_keep_high": row.value,
            "seed_log_down": math.log(row.value / low) / _Z95,
            "seed_log_up": math.log(high / row.value) / _Z95,
        },
        habitats={"seed_area_per_l": [area_per_l if h == "filter" else 0.0 for h in HABITATS]},
    )


def seed_area_m2(event: Seed) -> tuple[float, str]:
    """Mature surface that is brought, and the habitat it joins; none in a bottle. [m2]"""
    if event.source == "media":
        litres = event.volume_l or DEFAULT_SEED_L
        return litres / 1000.0 * media_surface_m2_per_m3(event.kind), "filter"
    if event.source == "bed":
        litres = event.volume_l or 1.0
        return litres / 1000.0 * media_surface_m2_per_m3("gravel"), "bed"
    if event.source == "decor":
        return DECOR_AREA_M2, "surface"
    if event.source == "water":
        return WATER_AREA_M2_PER_L * (event.volume_l or 5.0), "surface"
    raise ValueError(f"no mature surface comes from '{event.source}'")
