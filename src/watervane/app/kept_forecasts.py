"""Keep each forecast of a tank of the journal as it was made, to be scored on what comes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from watervane.app.ports import BadInput, Ports, Request
from watervane.app.unit_of_work import OpenJournal, UnitOfWork
from watervane.records import Finding, Forecast, KeptForecast, Person

RECENT = 20  # kept forecasts among which one made twice is looked for


def keep_forecast(
    actor: Person, source: Path, request: Request, forecast: Forecast, ports: Ports
) -> tuple[Finding, ...]:
    """Keep a forecast made of a tank of the journal as of its newest entry.

    It is kept from its moment on, and once however often it is made. One made of a file, or as if
    it were an earlier day, is not kept: it would be no forecast of what its maker did not know.
    Where the journal cannot be written, the forecast is told all the same, with a finding that it
    was not kept.
    """
    name = ports.journal.name_of(source)
    if name is None or request.as_of is not None:
        return ()
    kept = _kept(forecast, ports)
    try:
        with (
            ports.journal.open() as journal,
            journal.writing(actor, what="forecast", asked=kept.document) as work,
        ):
            key = work.key_of(name)
            _keep_once(key, replace(kept, newest_entry=work.newest_entry(key)), work)
    except BadInput as error:
        why = error.problems[0].key
        return (Finding("forecast-not-kept", "caution", {"why": why.replace("-", " ")}),)
    return ()


def keep_made(
    actor: Person,
    key: str,
    newest_entry: int,
    forecast: Forecast,
    ports: Ports,
    journal: OpenJournal,
) -> None:
    """Keep a forecast of a tank of the journal that knew of its entries up to one."""
    kept = replace(_kept(forecast, ports), newest_entry=newest_entry)
    with journal.writing(actor, what="forecast", asked=kept.document) as work:
        _keep_once(key, kept, work)


def _kept(forecast: Forecast, ports: Ports) -> KeptForecast:
    ahead = course_ahead(ports.forecast_document(forecast), forecast)
    made = forecast.diagnostics
    return KeptForecast(
        as_of=forecast.as_of,
        horizon_days=forecast.horizon_days,
        newest_entry=0,
        seed=forecast.seed,
        members=made.members,
        model_version=made.model_version,
        parameter_digest=made.parameter_digest,
        document=json.dumps(ahead, allow_nan=False, separators=(",", ":")),
    )


def _keep_once(key: str, kept: KeptForecast, work: UnitOfWork) -> None:
    if not any(_same(kept, before) for before in work.forecasts(key, RECENT)):
        work.keep_forecast(key, kept)


def course_ahead(document: Mapping[str, Any], forecast: Forecast) -> Mapping[str, Any]:
    """A forecast's document with its series from the moment of the forecast on.

    What lies before is the past of a growing log, told anew in each of them.
    """
    series = document.get("series")
    if not isinstance(series, Mapping):
        return document
    begin = max(0, sum(at <= forecast.as_of for at in forecast.times) - 1)
    return {**document, "series": {name: _from(begin, band) for name, band in series.items()}}


def _from(begin: int, band: Any) -> Any:
    if isinstance(band, Mapping):
        return {name: _from(begin, values) for name, values in band.items()}
    return band[begin:]


def _same(first: KeptForecast, second: KeptForecast) -> bool:
    """Whether nothing that makes a forecast differs."""
    return replace(first, document="", made_at=None) == replace(second, document="", made_at=None)
