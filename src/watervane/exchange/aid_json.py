"""First aid as a JSON document."""

from __future__ import annotations

from typing import Any

from watervane.records.first_aid import FirstAid
from watervane.reference.first_aid import aid_tables

FORMAT = "watervane-first-aid/1"


def first_aid_document(told: FirstAid) -> dict[str, Any]:
    """Answers, acts with what each does under every cause left open, and why, for others to check.

    Parameters
    ----------
    told
        What was worked out.
    """
    tables = aid_tables()
    left_open = [cause.key for cause in told.causes if cause.open]
    return {
        "format": FORMAT,
        "answers": {
            "see": told.answers.see or None,
            "done": list(told.answers.done),
            "done_in_part": told.answers.partly,
            "tests": dict(told.answers.tests),
        },
        "acts": [
            {
                "act": act.key,
                "from_minute": act.start_min,
                "minutes": act.minutes,
                "helps_most_under": act.helps or None,
                "effects": [_effect(act.key, cause) for cause in left_open],
            }
            for act in told.acts
        ],
        "leave_alone": [
            {
                "act": left.key,
                "harms_under": left.harms,
                "reason": tables.effects[left.key, left.harms].reason,
            }
            for left in told.left
        ],
        "no_change_because_of": list(told.no_change),
        "causes": [
            {"cause": cause.key, "share": round(cause.share, 6), "open": cause.open}
            for cause in told.causes
        ],
        "next_tests": list(told.next_tests),
    }


def _effect(act: str, cause: str) -> dict[str, Any]:
    told = aid_tables().effects[act, cause]
    found: dict[str, Any] = {"cause": cause, "effect": told.effect, "reason": told.reason}
    if told.unless:
        found |= {"effect": "harmless with its remedy", "remedy": told.unless, "when": told.when}
    return found | {"source": told.source, "quality": told.quality}
