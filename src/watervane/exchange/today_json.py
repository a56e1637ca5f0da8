"""Today's verdict and steps as one JSON document, ``watervane-today/1``."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from watervane.exchange.figures import DIGITS, quantiles, rounded, short
from watervane.exchange.findings_json import finding_document
from watervane.exchange.limits_json import limit_document
from watervane.exchange.watch_json import watch_document
from watervane.records import (
    QUANTITY_UNITS,
    Act,
    BoundedChange,
    Danger,
    Diagnostics,
    ReadAlarm,
    Swing,
    Today,
    Verdict,
    WeekPlan,
)

TODAY_FORMAT = "watervane-today/1"


def today_document(today: Today) -> dict[str, Any]:
    """The document as plain dictionaries and lists.

    Parameters
    ----------
    today
        As the engine hands it out.

    Returns
    -------
    dict
        Dates are ISO 8601 with offset.
    """
    return {
        "format": TODAY_FORMAT,
        "tank": today.tank,
        "as_of": today.as_of.isoformat(),
        "seed": today.seed,
        "accepted_risk": {tier: today.allowed.of(tier) for tier in ("acute", "chronic", "comfort")},
        "verdict": _verdict(today.verdict),
        "within_the_hour": [finding.key for finding in today.emergency],
        "emergency": [finding_document(finding) for finding in today.emergency],
        "as_planned": _plan(today.planned),
        "changes_left_out": _plan(today.left_out),
        "chosen": _plan(today.chosen),
        "runner_up": _plan(today.runner_up),
        "frontier": [_plan(way) for way in today.frontier],
        "kept": list(today.good_enough),
        "best_chance": rounded(today.at_best),
        "tried": today.tried,
        "can_wait_d": today.can_wait_d,
        "bounded": bounded_document(today.bounded),
        "assumed": [finding.key for finding in today.remarks],
        "remarks": [finding_document(finding) for finding in today.remarks],
        "warmth_c": short(today.warmth_c),
        "notes": [finding_document(finding) for finding in today.notes],
        "stock": [finding_document(finding) for finding in today.stock],
        "watch": None if today.watch is None else watch_document(today.watch),
        "members": today.diagnostics.members,
        "effective_members": short(today.diagnostics.effective_members),
        "health": today.diagnostics.health,
        "diagnostics": _diagnostics(today.diagnostics),
    }


def bounded_document(bounded: BoundedChange | None) -> dict[str, Any] | None:
    """What a reading bears of new water, where steps ask for more."""
    return None if bounded is None else asdict(bounded)


def _diagnostics(told: Diagnostics) -> dict[str, Any]:
    return {
        **{field.name: getattr(told, field.name) for field in fields(told)},
        "effective_members": short(told.effective_members),
        "seconds": round(told.seconds, 2),
        "findings": [finding_document(finding) for finding in told.findings],
    }


def _verdict(said: Verdict) -> dict[str, Any]:
    return {
        "key": said.key,
        "leading": None if said.leading is None else _danger(said.leading),
        "dangers": [_danger(each) for each in said.dangers],
        "now": {driver.name: quantiles(driver.value) for driver in said.drivers},
        "harmful_reading": None if said.alarm is None else _alarm(said.alarm),
        "most_telling_reading": None if said.swing is None else _swing(said.swing),
    }


def _danger(one: Danger) -> dict[str, Any]:
    return {
        "tier": one.tier,
        "subject": one.subject,
        "chance_now": round(one.now, DIGITS),
        "chance_two_days": round(one.soon, DIGITS),
        "chance_week": round(one.week, DIGITS),
        "limit": limit_document(one.limit),
        "worst_two_days": quantiles(one.value),
    }


def _alarm(alarm: ReadAlarm) -> dict[str, Any]:
    return {
        "quantity": alarm.quantity,
        "level": short(alarm.level),
        "limit": limit_document(alarm.limit),
        "chance": round(alarm.chance, DIGITS),
        "change_share": round(alarm.share, DIGITS),
        "changed_since_share": round(alarm.changed_since, DIGITS),
        "gently": alarm.gently,
    }


def _swing(swing: Swing) -> dict[str, Any]:
    return {
        "quantity": swing.quantity,
        "kit": swing.kit,
        "basis": swing.basis,
        "unit": QUANTITY_UNITS.get(swing.quantity, ""),
        "no_more_than": swing.low,
        "chance_then": round(swing.if_low, DIGITS),
        "chance_of_that": round(swing.chance_low, DIGITS),
        "no_less_than": swing.high,
        "chance_then_at_least": round(swing.if_high, DIGITS),
        "chance_of_at_least": round(swing.chance_high, DIGITS),
    }


def _plan(way: WeekPlan | None) -> dict[str, Any] | None:
    if way is None:
        return None
    return {
        "acts": [act_document(act) for act in way.acts],
        "minutes": round(way.minutes, 1),
        "source_water_l": round(way.litres, 1),
        "chances": rounded(way.chances),
        "expected_hours_beyond": rounded(way.hours),
        "expected_burden_hours": rounded(way.burden),
        "by_tier_and_subject": rounded(way.by_subject),
    }


def act_document(act: Act) -> dict[str, Any]:
    """One thing to do."""
    return {
        "kind": act.kind,
        "at": act.at.isoformat(),
        "amount": act.amount,
        "unit": act.unit,
        "times": act.times,
        "every_days": act.every_days,
        "put_off_d": act.wait_d,
        "what": act.what,
        "minutes": round(act.minutes, 1),
        "source_water_l": round(act.litres, 2),
        "where_read_mg_n_per_l": dict(act.above),
    }
