"""Who may come in: which hosts, which pages, and who holds the key of this launch."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar
from urllib.parse import quote

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
MOST_SESSIONS = 64
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
ENTRANCE = "/enter"
OPEN_TO_ALL = ("/static/", "/calendar/")
CALENDAR, CALENDAR_ENDING = "/calendar/", ".ics"  # its address is its key; calendars send no cookie
FIRST_AID = "/first-aid"  # for anybody: whose fish gasp has no time for a code


def _key() -> str:
    return secrets.token_urlsafe(32)


@dataclass
class Gate:
    """The guard's knowledge of one running server.

    Any program on the machine can reach the loopback, and any page in the browser can send
    requests there. So a request has to name this server as its host, one that changes anything
    has to come from a page of this server, and each has to carry a cookie that is only given for
    the token of this launch.
    """

    refusal: ClassVar[str] = "refused-key"

    port: int
    names: tuple[str, ...] = LOOPBACK
    scheme: str = "http"
    launch_token: str = field(default_factory=_key)
    sessions: list[str] = field(default_factory=list)

    @property
    def cookie(self) -> str:
        """Name of the cookie: cookies are shared by all ports of a host."""
        return f"watervane-{self.port}"

    @property
    def address(self) -> str:
        """Of the first page, without the token."""
        return f"{self.scheme}://{self.names[0]}:{self.port}/"

    @property
    def launch_address(self) -> str:
        """What the browser is opened with."""
        return f"{self.address.rstrip('/')}{ENTRANCE}?token={quote(self.launch_token)}"

    def knows_host(self, host: str) -> bool:
        """Whether a Host header names this server, by a name nobody else can point here."""
        return host.lower() in {f"{name}:{self.port}" for name in self.names}

    def knows_peer(self, peer: str) -> bool:  # noqa: ARG002 - the loopback has but one
        """Whether requests from this address are answered at all."""
        return True

    def opens_for_all(self, path: str) -> bool:
        """Whether a page is shown to who has no cookie yet."""
        return path in (ENTRANCE, FIRST_AID) or path.startswith(OPEN_TO_ALL)

    def renewal(self, cookie: str | None) -> str | None:  # noqa: ARG002 - it ends with the launch
        """The header that sets a cookie anew, where it is time to."""
        return None

    def let_in(self, token: str) -> str | None:
        """A new session for who has the token; ``None`` for anybody else."""
        if not hmac.compare_digest(token.encode(), self.launch_token.encode()):
            return None
        session = _key()
        self.sessions = [*self.sessions[-MOST_SESSIONS + 1 :], session]
        return session

    def holds_session(self, cookie: str | None) -> bool:
        """Whether a cookie was given out by this launch."""
        told = (cookie or "").encode()
        return any([hmac.compare_digest(told, each.encode()) for each in self.sessions])  # noqa: C419

    def objection(self, method: str, headers: Mapping[str, str]) -> str | None:
        """Why a request is refused before anything of it is read, as a key; else ``None``.

        ``headers`` by their names in small letters; ``session`` is left to `holds_session`.
        """
        if not self.knows_host(headers.get("host", "")):
            return "refused-host"
        site = headers.get("sec-fetch-site")
        if method in SAFE_METHODS:
            arriving = headers.get("sec-fetch-mode", "navigate") == "navigate"
            foreign = site in ("cross-site", "same-site")
            return "refused-foreign" if foreign and not arriving else None
        origin = headers.get("origin")
        if origin is not None and origin != f"{self.scheme}://{headers['host'].lower()}":
            return "refused-foreign"
        if site is not None and site != "same-origin":
            return "refused-foreign"
        return "refused-foreign" if origin is None and site is None else None
