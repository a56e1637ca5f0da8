"""How the reader of a page is told: without commands, in the units that a cookie keeps."""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie

from starlette.types import ASGIApp, Receive, Scope, Send

from watervane.wording.audience import on_page
from watervane.wording.in_units import reader_units, units_of

UNITS_COOKIE = "units"


class AsReadersKnow:
    """Every sentence made for a request is told as on a page, in the units of who asked."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        with on_page(), reader_units(units_of(_told(scope))):
            await self._app(scope, receive, send)


def _told(scope: Scope) -> str:
    sent = [value for name, value in scope["headers"] if name == b"cookie"]
    try:
        found = SimpleCookie(b"; ".join(sent).decode("latin-1")).get(UNITS_COOKIE)
    except CookieError:
        return ""
    return "" if found is None else found.value
