"""A quarantine as a JSON document, ``watervane-quarantine/1``."""

from __future__ import annotations

from typing import Any

from watervane.exchange.findings_json import finding_document
from watervane.records import Span
from watervane.records.quarantine import QuarantinePlan

QUARANTINE_FORMAT = "watervane-quarantine/1"


def quarantine_document(plan: QuarantinePlan) -> dict[str, Any]:
    """All of a plan."""
    wish = plan.wish
    return {
        "format": QUARANTINE_FORMAT,
        "volume_l": wish.volume_l,
        "temperature_c": wish.temperature_c,
        "animals": [
            {"species": each.species, "count": each.count, "length_cm": each.length_cm}
            for each in wish.animals
        ],
        "seeded_l": wish.seeded_l,
        "medium": wish.medium,
        "food_share": wish.food_share,
        "treated": wish.treated,
        "level_mg_n_per_l": wish.level_mg_n_per_l,
        "mass_g": round(plan.mass_g, 2),
        "rise_fasting_mg_n_per_l_d": _span(plan.fasting_mg_n_per_l_d),
        "rise_fed_mg_n_per_l_d": _span(plan.fed_mg_n_per_l_d),
        "hours_to_level": _span(plan.hours_to_level),
        "ways": [
            {
                "way": each.way,
                "left_mg_n_per_l_d": _span(each.left_mg_n_per_l_d),
                "change_share_per_d": _span(each.share_per_d),
                "changed_l_per_d": _span(each.changed_l_per_d),
            }
            for each in plan.ways
        ],
        "media_l": _span(plan.media_l),
        "bath_l": round(plan.bath_l[0], 3),
        "dip_l": round(plan.bath_l[1], 3),
        "free_ammonia_mg_n_per_l": plan.free_ammonia_mg_n_per_l,
        "parasites": [
            {
                "key": each.key,
                "scientific": each.scientific,
                "usual": each.usual,
                "round_d": _span(each.round_d),
                "watch_d": each.watch_d,
            }
            for each in plan.rounds
        ],
        "days": plan.days,
        "findings": [finding_document(each) for each in plan.findings],
    }


def _span(told: Span) -> dict[str, float]:
    return {"low": round(told.low, 4), "high": round(told.high, 4)}
