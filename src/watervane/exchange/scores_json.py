"""Scores as one JSON document, ``watervane-scores/1``."""

from __future__ import annotations

from typing import Any

from watervane.records import COVERED, QUANTITY_UNITS, Finding, Moment, ScoreRow, Scores

SCORES_FORMAT = "watervane-scores/1"
DIGITS = 6  # of the scores: more only tell of rounding


def scores_document(scores: Scores) -> dict[str, Any]:
    """The document as plain dictionaries and lists.

    Parameters
    ----------
    scores
        As the engine hands them out.

    Returns
    -------
    dict
        Dates are ISO 8601 with offset; ``covered`` is by level in per cent.
    """
    settled = None
    if scores.settled is not None:
        last_high, first_low = scores.settled
        settled = {"last_high": last_high.isoformat(), "first_low": first_low.isoformat()}
    return {
        "format": SCORES_FORMAT,
        "tank": scores.tank,
        "made": scores.made,
        "members": scores.members,
        "seed": scores.seed,
        "summaries": [
            {
                "quantity": one.quantity or None,
                "unit": QUANTITY_UNITS[one.quantity] if one.quantity else None,
                "forecaster": one.forecaster,
                "count": one.count,
                "log_score": _rounded(one.log_score),
                "crps": _rounded(one.crps),
                "crps_ratio": _rounded(one.crps_ratio),
                "covered": {
                    f"{100 * level:.0f}": _rounded(count)
                    for level, count in zip(COVERED, one.covered, strict=True)
                },
            }
            for one in scores.summaries
        ],
        "settled": settled,
        "settled_reason": scores.settled_reason,
        "moments": [_moment(one) for one in scores.moments],
        "rows": [_row(one) for one in scores.rows],
        "diagnostics": {
            "seconds": _rounded(scores.seconds),
            "model_version": scores.model_version,
            "parameter_digest": scores.parameter_digest,
            "findings": [_finding(one) for one in scores.findings],
        },
    }


def _moment(one: Moment) -> dict[str, Any]:
    return {
        "as_of": one.as_of.isoformat(),
        "readings_used": one.readings_used,
        "effective_members": _rounded(one.effective_members),
        "health": one.health,
        "settled": {
            name: {"crps_d": _rounded(mark.crps_d), "place": [_rounded(p) for p in mark.place]}
            for name, mark in one.settled.items()
        },
    }


def _row(one: ScoreRow) -> dict[str, Any]:
    return {
        "as_of": one.as_of.isoformat(),
        "at": one.at.isoformat(),
        "quantity": one.quantity,
        "kit": one.kit,
        "value": one.raw,
        "marks": {
            name: {
                "log_score": _rounded(mark.log_score),
                "crps": _rounded(mark.crps),
                "place": [_rounded(p) for p in mark.place],
            }
            for name, mark in one.marks.items()
        },
    }


def _finding(one: Finding) -> dict[str, Any]:
    return {"key": one.key, "severity": one.severity, "arguments": dict(one.arguments)}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, DIGITS)
