"""Ledger and colonies outlive the forecasts that come before new ones are worked out."""

from __future__ import annotations

from dataclasses import replace

from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import OpenJournal
from watervane.records import Forecast, Person


def with_inside_kept(
    forecast: Forecast, actor: Person, key: str, ports: Ports, journal: OpenJournal
) -> Forecast:
    """A forecast with the ledger and the colonies last kept of its tank, where it has none.

    Both tell of their own moment, so an older one beside a newer forecast misleads nobody.
    """
    if forecast.ledger is not None and forecast.colonies is not None:
        return forecast
    with journal.looking(actor) as view:
        kept = view.result(key, "forecast")
    if kept is None:
        return forecast
    try:
        before = ports.pages.forecast_of_text(kept.document)
    except BadInput:
        return forecast
    return replace(
        forecast,
        ledger=forecast.ledger or before.ledger,
        colonies=forecast.colonies or before.colonies,
    )
