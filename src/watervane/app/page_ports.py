"""What the pages need besides the other use cases' ports."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from watervane.records import AtOnce, Forecast, Tank

CALENDARS = "calendars.json"  # of addresses that are subscribed to, beside the journal


@dataclass(frozen=True, slots=True)
class ServeRequest:
    """Where the pages are served: ``port`` 0 takes any that is free.

    ``work`` starts a worker beside them that keeps forecasts current. ``notice`` is the key of a
    sentence that stands on every page. ``share`` serves paired devices of the local network too,
    at ``share_port``; ``behind`` is the address of a proxy that leads to that port instead.
    """

    port: int = 8460
    open_browser: bool = True
    work: bool = True
    notice: str = ""
    share: bool = False
    share_port: int = 8461
    behind: str = ""


class Server(Protocol):
    """Serve the pages until interrupted; ``told`` gets the address once they answer.

    ``shared`` gets those under which other devices come in, where there are any.
    """

    def __call__(
        self,
        request: ServeRequest,
        told: Callable[[str], None],
        shared: Callable[[Sequence[str]], None] | None = None,
    ) -> None: ...


@dataclass(frozen=True, slots=True)
class PagePorts:
    """The real parts behind the pages, or the stand-ins of a test."""

    serve: Server
    forecast_of_text: Callable[[str], Forecast]
    at_once: Callable[[Tank, Iterable[str], datetime], AtOnce]
    time_zone: Callable[[], str]  # of this machine
    folder: Callable[[], Path]  # for keys and paired devices
    cache: Callable[[], Path]  # for what can be made again
