"""What the pages need besides the other use cases' ports."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from watervane.records import Forecast


@dataclass(frozen=True, slots=True)
class ServeRequest:
    """Where the pages are served: ``port`` 0 takes any that is free.

    ``work`` starts a worker beside them that keeps forecasts current.
    """

    port: int = 8460
    open_browser: bool = True
    work: bool = True


class Server(Protocol):
    """Serve the pages until interrupted; ``told`` gets the address once they answer."""

    def __call__(self, request: ServeRequest, told: Callable[[str], None]) -> None: ...


@dataclass(frozen=True, slots=True)
class PagePorts:
    """The real parts behind the pages, or the stand-ins of a test."""

    serve: Server
    forecast_of_text: Callable[[str], Forecast]
    time_zone: Callable[[], str]  # of this machine
