"""A kept judgement of a day, read back from its document so that it can be told again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime
from typing import Any

from watervane.exchange.findings_json import read_finding
from watervane.exchange.limits_json import read_limits
from watervane.exchange.problems import TankFileErrors
from watervane.exchange.today_json import TODAY_FORMAT
from watervane.exchange.watch_json import read_watch
from watervane.records import (
    LOCAL_OWNER,
    QUANTILE_KEYS,
    Act,
    AllowedRisk,
    BoundedChange,
    Danger,
    Diagnostics,
    Driver,
    Finding,
    NumberQuantiles,
    ReadAlarm,
    Swing,
    Today,
    ToldLimit,
    Verdict,
    WeekPlan,
)

HOUR_STEPS = ("hour-salt", "hour-chloride", "hour-slowly-rate", "hour-read-again")
# Further findings, which documents of old do not hold.
_MORE = tuple(field.name for field in fields(Today) if field.default == ())


def today_of_text(text: str) -> Today:
    """The day a document of `today_document` tells of.

    Parameters
    ----------
    text
        JSON.

    Returns
    -------
    Today
        Its figures are as short as the document has them.

    Raises
    ------
    TankFileErrors
        If it is no such document.
    """
    try:
        return _today(json.loads(text))
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        what = f"{error.args[0]} is missing" if isinstance(error, KeyError) else str(error)
        told = {"file": TODAY_FORMAT, "why": what}
        raise TankFileErrors([Finding("stored-unreadable", "problem", told)]) from None


def _today(told: Mapping[str, Any]) -> Today:
    if told["format"] != TODAY_FORMAT:
        raise ValueError(f"its format is not {TODAY_FORMAT}")
    return Today(
        tank=str(told["tank"]),
        owner=LOCAL_OWNER,
        as_of=datetime.fromisoformat(told["as_of"]),
        seed=int(told["seed"]),
        allowed=AllowedRisk(**told["accepted_risk"]),
        verdict=_verdict(told["verdict"]),
        planned=_plan(told["as_planned"]),
        chosen=_plan(told["chosen"]),
        runner_up=_plan(told["runner_up"]),
        frontier=tuple(way for way in map(_plan, told["frontier"]) if way is not None),
        good_enough=tuple(told["kept"]),
        at_best=dict(told["best_chance"]),
        tried=int(told["tried"]),
        emergency=tuple(one for one in map(read_finding, told["emergency"]) if _still_told(one)),
        remarks=tuple(map(read_finding, told["remarks"])),
        diagnostics=_diagnostics(told["diagnostics"]),
        warmth_c=float(told["warmth_c"]),
        left_out=_plan(told.get("changes_left_out")),
        watch=read_watch(told.get("watch")),
        can_wait_d=float(told.get("can_wait_d", 0.0)),
        bounded=None if told.get("bounded") is None else BoundedChange(**told["bounded"]),
        **{name: tuple(map(read_finding, told.get(name, ()))) for name in _MORE},
    )


def _still_told(step: Finding) -> bool:
    """Whether a step of the hour is one that is told today: documents of old had a list apart."""
    return not step.key.startswith("hour-") or step.key in HOUR_STEPS


def _diagnostics(told: Mapping[str, Any]) -> Diagnostics:
    findings = tuple(map(read_finding, told["findings"]))
    return Diagnostics(**{**told, "findings": findings})


def _verdict(told: Mapping[str, Any]) -> Verdict:
    dangers = tuple(map(_danger, told["dangers"]))
    leading = None if told["leading"] is None else _danger(told["leading"])
    same = [one for one in dangers if one == leading]
    drivers = tuple(Driver(name, _quantiles(value)) for name, value in told["now"].items())
    alarm, swing = told["harmful_reading"], told["most_telling_reading"]
    return Verdict(
        str(told["key"]),
        same[0] if same else leading,  # the very one, by which it is told apart from the others
        dangers,
        drivers,
        None if swing is None else _swing(swing),
        None if alarm is None else _alarm(alarm),
    )


def _danger(told: Mapping[str, Any]) -> Danger:
    return Danger(
        told["tier"],
        told["subject"],
        told["chance_now"],
        told["chance_two_days"],
        told["chance_week"],
        _limit(told["limit"]),
        _quantiles(told["worst_two_days"]),
    )


def _limit(told: Mapping[str, Any]) -> ToldLimit:
    return read_limits({"": told})[""]


def _alarm(told: Mapping[str, Any]) -> ReadAlarm:
    return ReadAlarm(
        told["quantity"],
        told["level"] if "level" in told else told["level_mg_n_per_l"],
        _limit(told["limit"]),
        told["chance"],
        told["change_share"],
        told.get("changed_since_share", 0.0),
        bool(told.get("gently", False)),
    )


def _swing(told: Mapping[str, Any]) -> Swing:
    return Swing(
        told["quantity"],
        told["kit"],
        told["basis"],
        told["no_more_than"],
        told["no_less_than"],
        told["chance_then"],
        told["chance_then_at_least"],
        told["chance_of_that"],
        told["chance_of_at_least"],
    )


def _plan(told: Mapping[str, Any] | None) -> WeekPlan | None:
    if told is None:
        return None
    return WeekPlan(
        tuple(map(_act, told["acts"])),
        told["minutes"],
        told["source_water_l"],
        dict(told["chances"]),
        dict(told["expected_hours_beyond"]),
        dict(told["expected_burden_hours"]),
        dict(told["by_tier_and_subject"]),
    )


def _act(told: Mapping[str, Any]) -> Act:
    return Act(
        told["kind"],
        datetime.fromisoformat(told["at"]),
        told["amount"],
        told["unit"],
        told["times"],
        told["every_days"],
        told["what"],
        told["minutes"],
        told["source_water_l"],
        tuple(told.get("where_read_mg_n_per_l", {}).items()),
        float(told.get("put_off_d", 0.0)),
    )


def _quantiles(told: Mapping[str, float | None]) -> NumberQuantiles:
    return NumberQuantiles(*(told[key] for key in QUANTILE_KEYS))
