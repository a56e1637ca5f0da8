"""What two doors of one server share: the pages' own, and the one for paired devices."""

from __future__ import annotations

import ssl
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote, urlsplit

from watervane.web.gate import FIRST_AID, OPEN_TO_ALL, Gate
from watervane.web.sharing.devices import Device, Devices
from watervane.web.sharing.names import Reach, is_local, preferred_host, reach
from watervane.web.sharing.pairing import Pairing

if TYPE_CHECKING:
    from watervane.web.sharing.authority import Authority

PAIR, TRUST = "/pair", "/trust"
COOKIE_LASTS_S = 400 * 86_400  # browsers keep none longer
RENEWED_AFTER = timedelta(days=30)
COOKIE_KIND = "Path=/; Secure; HttpOnly; SameSite=Strict"
LOOK_AGAIN_S = 600.0
HTTPS_PORT = 443


@dataclass
class Share:
    """Names, certificates, pairing and paired devices of a server that is shared.

    ``behind`` is the address of a proxy that does the encrypting; else it is done here.
    """

    folder: Path
    port: int
    behind: str = ""
    find: Callable[[], Reach] = reach
    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    pairing: Pairing = field(default_factory=Pairing)

    def __post_init__(self) -> None:
        self.devices = Devices(self.folder)
        self.reach = Reach((), ()) if self.behind else self.find()
        self.authority: Authority | None = None
        if not self.behind:
            from watervane.web.sharing.authority import Authority  # noqa: PLC0415 - slow to import

            self.authority = Authority(self.folder, self.reach)

    @property
    def hosts(self) -> frozenset[str]:
        """What a Host header may say."""
        if self.behind:
            told = urlsplit(self.behind)
            bare = (told.hostname or "").lower()
            return frozenset({bare if told.port in (None, HTTPS_PORT) else f"{bare}:{told.port}"})
        return frozenset(f"{each}:{self.port}" for each in self.reach.hosts)

    @property
    def addresses(self) -> tuple[str, ...]:
        """Of the first page, the best one first."""
        if self.behind:
            (host,) = self.hosts
            return (f"https://{host}",)
        best = preferred_host(self.reach)
        others = [each for each in self.reach.hosts if each != best]
        return tuple(f"https://{each}:{self.port}" for each in (best, *others))

    def pairing_addresses(self, code: str) -> tuple[str, ...]:
        """Where a device is paired with a code, the best one first."""
        return tuple(f"{each}{PAIR}?code={quote(code)}" for each in self.addresses)

    def certificate(self) -> tuple[Path, Path]:
        """Certificate and key to encrypt with."""
        if self.authority is None:
            raise RuntimeError("a proxy encrypts")
        return self.authority.leaf(self.reach)

    def watch(self, context: ssl.SSLContext, stopped: threading.Event) -> None:
        """Follow new addresses, and renew the certificate in time, while the server runs."""
        while not stopped.wait(LOOK_AGAIN_S):
            self.look_again(context)

    def look_again(self, context: ssl.SSLContext) -> None:
        """Once: what is new holds from the next connection on."""
        self.reach = self.find()
        context.load_cert_chain(*self.certificate())


class SharedGate(Gate):
    """The door for paired devices: no token of the launch opens it."""

    refusal = "refused-device"

    def __init__(self, share: Share) -> None:
        super().__init__(share.port, scheme="https")
        self.share = share

    @property
    def cookie(self) -> str:
        """No page without encryption, and none of a name below, can set one of this name."""
        return f"__Host-watervane-{self.port}"

    @property
    def address(self) -> str:
        return f"{self.share.addresses[0]}/"

    def knows_host(self, host: str) -> bool:
        return host.lower() in self.share.hosts

    def knows_peer(self, peer: str) -> bool:
        return is_local(peer, self.share.reach.addresses)

    def opens_for_all(self, path: str) -> bool:
        return path in (PAIR, FIRST_AID) or path.startswith((TRUST, *OPEN_TO_ALL))

    def let_in(self, token: str) -> str | None:  # noqa: ARG002 - none is the right one here
        return None

    def holds_session(self, cookie: str | None) -> bool:
        device = self.share.devices.of(cookie)
        if device is not None:
            self.share.devices.seen(device, self.share.now())
        return device is not None

    def renewal(self, cookie: str | None) -> str | None:
        """The header that lets a cookie last on, once in a while."""
        device, now = self.share.devices.of(cookie), self.share.now()
        if device is None or now - datetime.fromisoformat(device.renewed_at) < RENEWED_AFTER:
            return None
        self.share.devices.renewed(device, now)
        return f"{self.cookie}={cookie}; Max-Age={COOKIE_LASTS_S}; {COOKIE_KIND}"

    def device(self, cookie: str | None) -> Device | None:
        """Who comes with a cookie."""
        return self.share.devices.of(cookie)
