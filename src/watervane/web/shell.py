"""What a browser keeps of the pages, so that it can be written where there is no network."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from functools import cache
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from watervane.web.assets import asset_path, assets
from watervane.web.forms import KINDS
from watervane.web.gate import FIRST_AID
from watervane.wording import phrase

WORKER, LIST, ALONE, MANIFEST = "/shell.js", "/shell.json", "/offline", "/manifest.webmanifest"
SOURCE = "shell.js"
FILES = (
    "watervane.css",
    "first_aid.css",
    "first_aid.js",
    "watervane.js",
    "outbox.js",
    "outbox_store.js",
    "sending.js",
    "online.js",
    "vane.svg",
    "fonts/serif.woff2",
    "fonts/serif-italic.woff2",
    "fonts/sans.woff2",
)
ICONS = (("icon-192.png", "192x192", "any"), ("icon-512.png", "512x512", "any"),
         ("icon-masked.png", "512x512", "maskable"), ("vane.svg", "any", "any"))  # fmt: skip
PAPER, ASKED, KEPT = "#fcfaf5", b"x-watervane-outbox", b"x-watervane-kept"
SEE_OTHER = 303


@cache
def shell_version() -> str:
    """Changes with any file of the pages."""
    told = "".join(f"{name}{asset.digest}" for name, asset in sorted(assets().items()))
    return hashlib.sha256(told.encode()).hexdigest()[:12]


@cache
def shell_script() -> bytes:
    """The script that a browser runs between the pages and the network."""
    return assets()[SOURCE].data.replace(b"{version}", shell_version().encode())


def shell_list(tanks: Sequence[str]) -> dict[str, list[str]]:
    """What is to be kept: files, and the pages that records are written on, tank by tank."""
    pages = [ALONE, FIRST_AID, "/record"]
    for key in tanks:
        first = f"/tank/{key}/record"
        pages += [first, *(f"{first}/{kind}" for kind in KINDS)]
    return {"files": [asset_path(name) for name in FILES], "pages": pages}


@cache
def manifest() -> str:
    """What the pages are called and look like once they are installed."""
    told: dict[str, Any] = {
        "name": phrase("page-name"),
        "short_name": phrase("page-name"),
        "description": phrase("outbox-manifest"),
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            {"src": asset_path(name), "sizes": sizes, "purpose": purpose}
            for name, sizes, purpose in ICONS
        ],
        "shortcuts": [
            {"name": phrase("page-menu-record"), "url": "/record"},
            {"name": phrase("page-menu-aid"), "url": FIRST_AID},
        ],
    }
    return json.dumps(told)


class ToldToOutbox:
    """Tells a script that sends a form where it was kept, instead of leading it there."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http" or not any(name == ASKED for name, _ in scope["headers"]):
            await self._app(scope, receive, send)
            return

        async def told(message: Message) -> None:
            if message["type"] == "http.response.start" and message["status"] == SEE_OTHER:
                headers = [(KEPT if name == b"location" else name, value)
                           for name, value in message["headers"]]  # fmt: skip
                message = {**message, "status": 200, "headers": headers}
            await send(message)

        await self._app(scope, receive, told)
