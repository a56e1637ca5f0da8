"""A dose sheet as a JSON document."""

from __future__ import annotations

from typing import Any

from watervane.exchange.findings_json import finding_document
from watervane.records import Span
from watervane.records.doses import DoseSheet

FORMAT = "watervane-dose/1"


def dose_document(sheet: DoseSheet) -> dict[str, Any]:
    """All of a sheet; amounts in its own unit, levels of a course in full doses."""
    wish = sheet.wish
    document: dict[str, Any] = {
        "format": FORMAT,
        "substance": wish.substance,
        "kind": sheet.kind,
        "volume_l": wish.volume_l,
        "bath": wish.bath,
        "label": wish.rate.raw,
        "unit": sheet.unit,
        "amount": sheet.amount,
        "removed_share": sheet.removed_share,
        "top_up": sheet.top_up,
        "drops": _span(sheet.drops),
        "course": [
            {"day": each.day, "before": each.before, "after": each.after} for each in sheet.course
        ],
        "endless_peak": sheet.endless,
        "brings": dict(sheet.brings),
        "colonies_kept": _span(sheet.kept_share),
        "hospital": None,
        "findings": [finding_document(each) for each in sheet.findings],
    }
    if sheet.hospital is not None:
        load = sheet.hospital
        document["hospital"] = {
            "rise_mg_n_per_l_d": _span(load.rise_mg_n_per_l_d),
            "level_mg_n_per_l": load.level_mg_n_per_l,
            "hours_to_level": _span(load.hours_to_level),
            "change_share_per_d": _span(load.share_per_d),
        }
    return document


def _span(told: Span | None) -> dict[str, float] | None:
    return None if told is None else {"low": told.low, "high": told.high}
