"""The outermost layer: refusals, size limits and the headers every answer carries."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from http.cookies import CookieError, SimpleCookie

from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from watervane.web.gate import Gate

MOST_FORM_BYTES = 128 * 1024
MOST_UPLOAD_BYTES = 24 * 1024 * 1024
STATUS = {"refused-host": 421, "refused-foreign": 403, "refused-key": 403, "refused-size": 413,
          "refused-device": 403, "refused-peer": 403}  # fmt: skip

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
# With `no-referrer` a browser would send `Origin: null` with our own forms.
HEADERS = {
    "content-security-policy": POLICY,
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
}
USUAL_CACHING = "private, no-cache"

Refuse = Callable[[str, int, Scope], Response]


class TooMuch(Exception):
    """More was sent than any form of ours holds."""


class Guard:
    """Let through what the gate has nothing against."""

    def __init__(self, app: ASGIApp, gate: Gate, refuse: Refuse) -> None:
        self._app, self._gate, self._refuse = app, gate, refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing of ours speaks anything else
        headers = {
            name.decode("latin-1"): told.decode("latin-1") for name, told in scope["headers"]
        }
        objection = self._objection(scope, headers)
        if objection is None:
            limited = _Limited(receive, _allowance(headers))
            answered = _Headed(send, lambda: limited.passed, self._still_in(scope, headers))
            answered.renewal = self._gate.renewal(self._told(headers))
            with suppress(TooMuch):
                await self._app(scope, limited, answered)
            if not limited.passed or answered.begun:
                return
            objection = "refused-size"
        response = self._refuse(objection, STATUS[objection], scope)
        await response(scope, receive, _Headed(send))

    def _objection(self, scope: Scope, headers: dict[str, str]) -> str | None:
        path = scope["path"]
        if not self._gate.knows_peer((scope.get("client") or ("",))[0]):
            return "refused-peer"
        found = self._gate.objection(scope["method"], headers)
        if found is not None:
            return found
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > _allowance(headers):
            return "refused-size"
        if self._gate.opens_for_all(path):
            return None
        return None if self._gate.holds_session(self._told(headers)) else self._gate.refusal

    def _told(self, headers: dict[str, str]) -> str | None:
        return _cookie(headers.get("cookie", ""), self._gate.cookie)

    def _still_in(self, scope: Scope, headers: dict[str, str]) -> Callable[[], bool]:
        """Whether who asked may still be answered: a long answer ends with its cookie."""
        if self._gate.opens_for_all(scope["path"]):
            return lambda: True
        return lambda: self._gate.holds_session(self._told(headers))


def _allowance(headers: dict[str, str]) -> int:
    """Bytes a request may hold: photos and tank files come as ``multipart/form-data``."""
    uploading = headers.get("content-type", "").startswith("multipart/form-data")
    return MOST_UPLOAD_BYTES if uploading else MOST_FORM_BYTES


def _cookie(header: str, name: str) -> str | None:
    try:
        found = SimpleCookie(header).get(name)
    except CookieError:
        return None
    return None if found is None else found.value


class _Limited:
    """Counts what comes in: a length may be left out, or be a lie."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._left = receive, most

    @property
    def passed(self) -> bool:
        """Whether too much came."""
        return self._left < 0

    async def __call__(self) -> Message:
        message = await self._receive()
        if message["type"] == "http.request":
            self._left -= len(message.get("body", b""))
            if self.passed:
                raise TooMuch
        return message


class _Headed:
    """Puts our headers on every answer, and drops one that ``stale`` has overtaken.

    An answer in pieces ends where ``welcome`` does.
    """

    def __init__(
        self,
        send: Send,
        stale: Callable[[], bool] = lambda: False,
        welcome: Callable[[], bool] = lambda: True,
    ) -> None:
        self._send, self._stale, self._welcome = send, stale, welcome
        self.begun, self._ended = False, False
        self.renewal: str | None = None

    async def __call__(self, message: Message) -> None:
        if (self._stale() and not self.begun) or self._ended:
            return
        if message.get("more_body") and not self._welcome():
            self._ended = True
            message = {"type": "http.response.body", "body": b"", "more_body": False}
        if message["type"] == "http.response.start":
            self.begun = True
            told = {name for name, _ in message["headers"]}
            added = dict(HEADERS)
            if b"cache-control" not in told:
                added["cache-control"] = USUAL_CACHING
            message["headers"] = [
                *message["headers"],
                *((name.encode(), value.encode()) for name, value in added.items()
                  if name.encode() not in told),
            ]  # fmt: skip
            if self.renewal is not None:
                message["headers"].append((b"set-cookie", self.renewal.encode()))
        await self._send(message)
