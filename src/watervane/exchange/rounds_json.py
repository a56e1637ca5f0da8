"""The rounds as one JSON document, ``watervane-rounds/1``."""

from __future__ import annotations

from typing import Any

from watervane.exchange.figures import DIGITS
from watervane.exchange.today_json import act_document, bounded_document
from watervane.records import Act, Looming, TankRound, TankRounds

ROUNDS_FORMAT = "watervane-rounds/1"


def rounds_document(found: TankRounds) -> dict[str, Any]:
    """The document as plain dictionaries and lists, tanks in the order of the rounds.

    Parameters
    ----------
    found
        As the use case hands them out.

    Returns
    -------
    dict
        Dates are ISO 8601, moments with offset.
    """
    return {
        "format": ROUNDS_FORMAT,
        "as_of": found.as_of.isoformat(),
        "tanks": [_round(one) for one in found.rounds],
    }


def _round(one: TankRound) -> dict[str, Any]:
    today = one.today
    return {
        "tank": one.tank,
        "current": one.current,
        "grade": one.grade or None,
        "as_of": None if today is None else today.as_of.isoformat(),
        "entries_since": one.entries_since,
        "animals": one.animals,
        "verdict": None if today is None else today.verdict.key,
        "acute": _looming(one.acute),
        "chronic": _looming(one.chronic),
        "drifts": []
        if today is None or today.watch is None
        else [each.kind for each in today.watch.drifts],
        "next_step": _step(one.next_step),
        "bounded": bounded_document(None if today is None else today.bounded),
        "due_at": None if one.due_at is None else one.due_at.isoformat(),
        "job": None if one.job is None else one.job.state,
        "failed": None if one.job is None or one.job.why is None else one.job.why.key,
    }


def _step(act: Act | None) -> dict[str, Any] | None:
    if act is None:
        return None
    unknown = act.kind == "change" and not act.litres  # until ways have been tried
    return act_document(act) | ({"source_water_l": None} if unknown else {})


def _looming(one: Looming | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {"on": one.on.isoformat(), "chance": round(one.chance, DIGITS)}
