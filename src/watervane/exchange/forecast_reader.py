"""Read a stored forecast document, ``watervane-forecast/1``, back into a record."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from watervane.exchange.findings_json import read_finding
from watervane.exchange.forecast_json import FORECAST_FORMAT
from watervane.exchange.inside_json import colonies_from, ledger_from
from watervane.exchange.lessons_reader import read_moment, read_next_test, read_taught
from watervane.exchange.limits_json import read_limits, read_settled
from watervane.exchange.problems import TankFileErrors
from watervane.records import (
    LOCAL_OWNER,
    QUANTILE_KEYS,
    Band,
    DateQuantiles,
    Diagnostics,
    Finding,
    Forecast,
    Milestone,
    NumberQuantiles,
    Peak,
)


def read_forecast_document(path: Path) -> Forecast:
    """Read what ``watervane forecast --json`` printed.

    Parameters
    ----------
    path
        Of the document.

    Raises
    ------
    TankFileErrors
        If it is no such document.
    """
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise _problem("stored-unreadable", path, (error.strerror or "it failed").lower()) from None
    except ValueError:
        raise _problem("stored-unreadable", path, "it is not JSON") from None
    return _read(document, str(path))


def forecast_of_text(text: str) -> Forecast:
    """A forecast of the journal from its published JSON text.

    Raises
    ------
    TankFileErrors
        If it is no such document.
    """
    return _read(json.loads(text), "journal")


def _read(document: Any, path: str) -> Forecast:
    if not isinstance(document, dict) or document.get("format") != FORECAST_FORMAT:
        raise _problem("stored-unreadable", path, f"its format is not {FORECAST_FORMAT}")
    try:
        return _forecast(document)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        what = f"{error.args[0]} is missing" if isinstance(error, KeyError) else str(error)
        raise _problem("stored-unreadable", path, what) from None


def _problem(key: str, path: Path | str, why: str) -> TankFileErrors:
    return TankFileErrors([Finding(key, "problem", {"file": str(path), "why": why})])


def _forecast(document: Mapping[str, Any]) -> Forecast:
    milestones, series = document["milestones"], dict(document["series"])
    times = tuple(read_moment(t) for t in series.pop("time"))
    bands = {name: _band(band, len(times)) for name, band in series.items()}
    if not times:
        raise ValueError("its series are empty")
    ledger, colonies = document.get("ledger"), document.get("colonies")
    return Forecast(
        tank=str(document["tank"]),
        owner=LOCAL_OWNER,
        filled=read_moment(document["filled"]),
        as_of=read_moment(document["as_of"]),
        horizon_days=int(document["horizon_days"]),
        seed=int(document["seed"]),
        ammonia_peak=_peak(milestones["ammonia_peak"]),
        nitrite_peak=_peak(milestones["nitrite_peak"]),
        settled=_milestone(milestones["settled"]),
        ready=_milestone(milestones["ready"]),
        times=times,
        series=bands,
        risk={limit: tuple(days) for limit, days in document["risk"].items()},
        diagnostics=_diagnostics(document["diagnostics"]),
        taught=read_taught(document.get("taught")),
        next_test=read_next_test(document.get("next_test")),
        limits=read_limits(document.get("limits", {})),
        settled_levels=read_settled(document.get("settled_levels")),
        assumptions=_findings(document.get("assumptions")),
        ledger=None if ledger is None else ledger_from(ledger),
        colonies=None if colonies is None else colonies_from(colonies),
    )


def _dates(told: Mapping[str, str | None]) -> DateQuantiles:
    found = (told[key] for key in QUANTILE_KEYS)
    return DateQuantiles(*(None if text is None else read_moment(text) for text in found))


def _band(told: Mapping[str, Any], length: int) -> Band:
    rows = [tuple(float(v) for v in told[key]) for key in QUANTILE_KEYS]
    if any(len(row) != length for row in rows):
        raise ValueError("its series differ in length")
    return Band(*rows)


def _peak(told: Mapping[str, Any]) -> Peak:
    height = NumberQuantiles(*(told["value_mg_n_per_l"][key] for key in QUANTILE_KEYS))
    return Peak(_dates(told["date"]), height, float(told["probability_exists"]))


def _milestone(told: Mapping[str, Any]) -> Milestone:
    return Milestone(
        _dates(told["date"]),
        float(told["probability_within_horizon"]),
        str(told["status"]),
        float(told["probability_not_needed"]),
        dict(told["causes"]),
        told["reason"],
    )


def _diagnostics(told: Mapping[str, Any]) -> Diagnostics:
    return Diagnostics(
        members=int(told["members"]),
        prior_members=int(told["prior_members"]),
        effective_members=float(told["effective_members"]),
        readings_used=int(told["readings_used"]),
        health=str(told["health"]),
        seconds=float(told["seconds"]),
        accuracy=str(told["accuracy"]),
        model_version=str(told["model_version"]),
        parameter_digest=str(told["parameter_digest"]),
        findings=_findings(told.get("findings")),
    )


def _findings(told: Any) -> tuple[Finding, ...]:
    """What was taken for granted, and what is to be said of the making; none in old documents."""
    return tuple(
        replace(read_finding(each), line=each.get("line"), source=each.get("source"))
        for each in told or ()
    )
