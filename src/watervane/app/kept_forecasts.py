"""Keep each forecast of a tank of the journal as it was made, to be scored on what comes."""

from __future__ import annotations

import json
from pathlib import Path

from watervane.app.ports import BadInput, Ports, Request
from watervane.records import Finding, Forecast, KeptForecast, Person


def keep_forecast(
    actor: Person, source: Path, request: Request, forecast: Forecast, ports: Ports
) -> tuple[Finding, ...]:
    """Keep a forecast made of a tank of the journal as of its newest entry.

    One made of a file, or as if it were an earlier day, is not kept: it would be no forecast of
    what its maker did not know. Where the journal cannot be written, the forecast is told all the
    same, with a finding that it was not kept.
    """
    name = ports.journal.name_of(source)
    if name is None or request.as_of is not None:
        return ()
    document = json.dumps(ports.forecast_document(forecast), allow_nan=False)
    made = forecast.diagnostics
    try:
        with (
            ports.journal.open() as journal,
            journal.writing(actor, what="forecast", asked=document) as work,
        ):
            key = work.key_of(name)
            kept = KeptForecast(
                as_of=forecast.as_of,
                horizon_days=forecast.horizon_days,
                newest_entry=work.newest_entry(key),
                seed=forecast.seed,
                members=made.members,
                model_version=made.model_version,
                parameter_digest=made.parameter_digest,
                document=document,
            )
            work.keep_forecast(key, kept)
    except BadInput as error:
        why = error.problems[0].key
        return (Finding("forecast-not-kept", "caution", {"why": why.replace("-", " ")}),)
    return ()
