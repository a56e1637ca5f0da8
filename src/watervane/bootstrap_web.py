"""The real parts of the pages; what is slow to import is imported when it is first used."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager
from datetime import datetime
from functools import lru_cache, partial
from pathlib import Path
from zoneinfo import available_timezones

from watervane.app import BadInput, Ports
from watervane.app.page_ports import PagePorts, ServeRequest
from watervane.bootstrap_kept_answers import cache_folder
from watervane.records import AtOnce, Forecast, Tank

KEPT_IN_MIND = 64  # forecasts read last


def page_ports(
    make_ports: Callable[[], Ports], held_open: Callable[[], AbstractContextManager[None]]
) -> PagePorts:
    """The parts a real run serves its pages with; meanwhile the journal is held open."""
    return PagePorts(
        serve=partial(_serve, make_ports, held_open),
        forecast_of_text=_forecast_of_text,
        at_once=_at_once,
        time_zone=_time_zone,
        folder=_folder,
        cache=cache_folder,
    )


def _serve(
    make_ports: Callable[[], Ports],
    held_open: Callable[[], AbstractContextManager[None]],
    request: ServeRequest,
    told: Callable[[str], None],
    shared: Callable[[Sequence[str]], None] | None = None,
) -> None:
    from watervane.web import serve

    with held_open():
        serve(make_ports(), request, told, shared)


@lru_cache(KEPT_IN_MIND)
def _forecast_of_text(text: str) -> Forecast:
    from watervane.exchange import TankFileErrors
    from watervane.exchange.forecast_reader import forecast_of_text

    try:
        return forecast_of_text(text)
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _at_once(tank: Tank, animals: Iterable[str], now: datetime) -> AtOnce:
    from watervane.advice.at_once import at_once

    return at_once(tank, animals, now)


def _time_zone() -> str:
    """The machine's zone by its name in the time zone database; UTC where it has none."""
    told = os.environ.get("TZ", "").removeprefix(":")
    linked = os.path.realpath("/etc/localtime").partition("zoneinfo/")[2]
    return next((name for name in (told, linked) if name in available_timezones()), "UTC")


def _folder() -> Path:
    """Where keys, devices and calendars lie."""
    from watervane.journal import places

    return places.sharing_folder(os.environ)
