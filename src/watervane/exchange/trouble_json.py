"""Trouble as a JSON document."""

from __future__ import annotations

from typing import Any

from watervane.exchange.aid_json import first_aid_document
from watervane.records.trouble import Trouble
from watervane.reference.trouble import trouble_tables

FORMAT = "watervane-trouble/1"


def trouble_document(found: Trouble) -> dict[str, Any]:
    """Answers, causes, checks and the hour, for others to check.

    Parameters
    ----------
    found
        What was worked out.
    """
    told, tables, change = found.answers, trouble_tables(), found.spoken_change
    return {
        "format": FORMAT,
        "answers": {
            "see": list(told.see),
            "not_seen": list(told.absent),
            "who": told.who or None,
            "since": told.since or None,
            "after": list(told.done),
            "after_in_part": told.partly,
            "after_by_log": list(told.log_alone),
            "age_days": None if told.age_days is None else round(told.age_days, 2),
            "readings": [each.quantity for each in told.readings],
            "before": [each.quantity for each in told.before],
            "foretold_at": told.foretold_at.isoformat() if told.foretold_at else None,
            "foretold": {name: [round(e, 4) for e in each] for name, each in told.foretold.items()},
        },
        "open_bits": round(found.open_bits, 4),
        "asked_bits": round(found.asked_bits, 4),
        "over_limits": [
            {
                "reading": each.quantity,
                "limit": each.limit.key,
                "tier": each.limit.tier,
                "animals": list(each.limit.animals),
            }
            for each in found.alarms.alarms
        ],
        "causes": [
            {
                "cause": cause.key,
                "probability": round(cause.probability, 6),
                "weighed_by": cause.weighed,
                "signs_only": cause.key.endswith("-signs"),
                "first_aid_cause": tables.causes[cause.key].aid,
                "speaks_for": [list(each) for each in cause.speaks],
                "speaks_against": [list(each) for each in cause.against],
            }
            for cause in found.causes
        ],
        "checks": [
            {"kind": each.kind, "key": each.key, "bits": round(each.bits, 4), "owned": each.owned}
            for each in found.checks
        ],
        "meanwhile": first_aid_document(found.hour),
        "change": None
        if change is None
        else {
            "share": round(change.share, 3),
            "asked_share": round(change.asked_share, 3),
            "litres": None if change.litres is None else round(change.litres, 1),
            "start_min": change.start_min,
            "stirred": change.stirred,
        },
        "veterinarian": list(found.veterinarian),
    }
