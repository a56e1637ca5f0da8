"""Rehearsals as one JSON document, ``watervane-rehearsals/1``."""

from __future__ import annotations

from typing import Any

from watervane.exchange.figures import DIGITS, quantiles
from watervane.exchange.limits_json import limit_documents
from watervane.records import Rehearsal, Rehearsals

REHEARSALS_FORMAT = "watervane-rehearsals/1"


def rehearsals_document(rehearsals: Rehearsals) -> dict[str, Any]:
    """The document as plain dictionaries and lists.

    Parameters
    ----------
    rehearsals
        As the engine hands them out.

    Returns
    -------
    dict
        Dates are ISO 8601 with offset.
    """
    return {
        "format": REHEARSALS_FORMAT,
        "tank": rehearsals.tank,
        "as_of": rehearsals.as_of.isoformat(),
        "horizon_days": rehearsals.horizon_days,
        "seed": rehearsals.seed,
        "members": rehearsals.diagnostics.members,
        "health": rehearsals.diagnostics.health,
        "rehearsals": [rehearsal_document(each) for each in rehearsals.rehearsed],
    }


def rehearsal_document(one: Rehearsal) -> dict[str, Any]:
    """One future beside the other."""
    return {
        "mishap": one.mishap.kind,
        "size": one.mishap.size,
        "begins": one.begins.isoformat(),
        "ends": one.ends.isoformat(),
        "extremes": [
            {
                "series": extreme.series,
                "side": "highest" if extreme.highest else "lowest",
                "as_planned": quantiles(extreme.planned),
                "with_mishap": quantiles(extreme.changed),
            }
            for extreme in one.extremes
        ],
        "chance_passed": {
            key: {"as_planned": round(planned, DIGITS), "with_mishap": round(changed, DIGITS)}
            for key, (planned, changed) in one.passed.items()
        },
        "days_beyond": {
            key: {"as_planned": round(planned, DIGITS), "with_mishap": round(changed, DIGITS)}
            for key, (planned, changed) in one.days_beyond.items()
        },
        "warmth_change_c_per_h": one.warmth_change_c_per_h,
        "limits": limit_documents(one.limits),
        "colony_left": {guild: quantiles(share) for guild, share in one.colonies.items()},
    }
