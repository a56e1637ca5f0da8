"""The forecast as one JSON document, ``watervane-forecast/1``."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from watervane.exchange.inside_json import colonies_document, ledger_document
from watervane.exchange.limits_json import limit_documents, settled_document
from watervane.records import (
    QUANTILE_KEYS,
    Band,
    DateQuantiles,
    Finding,
    Forecast,
    Milestone,
    NextTest,
    NumberQuantiles,
    Peak,
    Span,
    Taught,
    TellingTest,
)

FORECAST_FORMAT = "watervane-forecast/1"


def forecast_document(forecast: Forecast) -> dict[str, Any]:
    """The document as plain dictionaries and lists.

    Parameters
    ----------
    forecast
        As the engine hands it out.

    Returns
    -------
    dict
        Dates are ISO 8601 with offset; what lies beyond the horizon is ``None``.
    """
    return {
        "format": FORECAST_FORMAT,
        "tank": forecast.tank,
        "filled": _moment(forecast.filled),
        "as_of": _moment(forecast.as_of),
        "horizon_days": forecast.horizon_days,
        "seed": forecast.seed,
        "milestones": {
            "ammonia_peak": _peak(forecast.ammonia_peak),
            "nitrite_peak": _peak(forecast.nitrite_peak),
            "settled": _milestone(forecast.settled),
            "ready": _milestone(forecast.ready),
        },
        "series": {
            "time": [_moment(time) for time in forecast.times],
            **{name: _band(band) for name, band in forecast.series.items()},
        },
        "risk": {limit: [_number(p) for p in days] for limit, days in forecast.risk.items()},
        "limits": limit_documents(forecast.limits),
        "settled_levels": settled_document(forecast.settled_levels),
        "assumptions": [_finding(finding) for finding in forecast.assumptions],
        "taught": _taught(forecast.taught),
        "next_test": _next_test(forecast.next_test),
        "diagnostics": _diagnostics(forecast),
        **_inside(forecast),
    }


def _inside(forecast: Forecast) -> dict[str, Any]:
    """The documents of ledger and colonies, where they were worked out."""
    found: dict[str, Any] = {}
    if forecast.ledger is not None:
        found["ledger"] = ledger_document(forecast.ledger)
    if forecast.colonies is not None:
        found["colonies"] = colonies_document(forecast.colonies)
    return found


def dumps(document: Mapping[str, Any]) -> str:
    """A document as JSON text that every strict reader takes."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)


def _diagnostics(forecast: Forecast) -> dict[str, Any]:
    told = forecast.diagnostics
    return {
        "members": told.members,
        "prior_members": told.prior_members,
        "effective_members": _number(told.effective_members),
        "readings_used": told.readings_used,
        "health": told.health,
        "seconds": _number(told.seconds),
        "accuracy": told.accuracy,
        "model_version": told.model_version,
        "parameter_digest": told.parameter_digest,
        "findings": [_finding(finding) for finding in told.findings],
    }


def _peak(peak: Peak) -> dict[str, Any]:
    return {
        "date": _dates(peak.date),
        "value_mg_n_per_l": _numbers(peak.value_mg_n_per_l),
        "probability_exists": _number(peak.probability_exists),
    }


def _taught(taught: Taught | None) -> dict[str, Any] | None:
    if taught is None:
        return None
    moved = None
    if taught.moved is not None:
        moved = {
            "at": _moment(taught.moved.at),
            "quantity": taught.moved.quantity,
            "days": _number(taught.moved.days),
            "narrowed_days": _number(taught.moved.narrowed_days),
            "told": taught.moved.told,
        }
    return {
        "learned": [
            {
                "unknown": one.name,
                "certainty": _number(one.certainty),
                "shift": _number(one.shift),
            }
            for one in taught.learned
        ],
        "still_open": [
            {"unknown": one.name, "weight": _number(one.weight)} for one in taught.still_open
        ],
        "about": taught.about,
        "each_within_days": _number(taught.each_within_days),
        "most_moving_reading": moved,
    }


def _next_test(told: NextTest | None) -> dict[str, Any] | None:
    if told is None:
        return None
    return {
        "question": told.question,
        "limit": told.limit,
        "open_bits": _number(told.open_bits),
        "chance_bits": _number(told.chance_bits),
        "best": None if told.best is None else _test(told.best),
        "soonest": None if told.soonest is None else _test(told.soonest),
        "ranked": [_test(one) for one in told.ranked],
        "range_now_days": _number(told.range_now_days),
        "range_after_days": _number(told.range_after_days),
        "wrong_now": _number(told.wrong_now),
        "wrong_after": _number(told.wrong_after),
    }


def _test(one: TellingTest) -> dict[str, Any]:
    return {
        "at": _moment(one.at),
        "quantity": one.quantity,
        "kit": one.kit,
        "gain_bits": _number(one.gain_bits),
        "gain_error_bits": _number(one.gain_error_bits),
    }


def _milestone(milestone: Milestone) -> dict[str, Any]:
    return {
        "date": _dates(milestone.date),
        "probability_within_horizon": _number(milestone.probability_within_horizon),
        "status": milestone.status,
        "probability_not_needed": _number(milestone.probability_not_needed),
        "causes": {cause: _number(share) for cause, share in milestone.causes.items()},
        "reason": milestone.reason,
    }


def _dates(dates: DateQuantiles) -> dict[str, str | None]:
    found = {key: getattr(dates, key) for key in QUANTILE_KEYS}
    return {key: None if when is None else _moment(when) for key, when in found.items()}


def _numbers(numbers: NumberQuantiles) -> dict[str, float | None]:
    return {key: _number(getattr(numbers, key)) for key in QUANTILE_KEYS}


def _band(band: Band) -> dict[str, list[float | None]]:
    return {key: [_number(value) for value in getattr(band, key)] for key in QUANTILE_KEYS}


def _moment(when: datetime) -> str:
    if when.tzinfo is None:
        raise ValueError("a forecast's dates carry their zone")
    return when.isoformat(timespec="seconds")


def _number(value: float | None) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return float(value)


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "key": finding.key,
        "severity": finding.severity,
        "arguments": {name: _plain(value) for name, value in finding.arguments.items()},
        "line": finding.line,
        "source": finding.source,
    }


def _plain(value: object) -> Any:
    if isinstance(value, bool | int | str) or value is None:
        return value
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, Span):
        return [_number(value.low), _number(value.high)]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(inner) for inner in value]
    return str(value)
