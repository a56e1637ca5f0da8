"""A server that is shared in an invented house, and the devices that come to it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.web import Gate, make_app
from watervane.web.sharing import Share, SharedGate
from watervane.web.sharing.names import Reach
from watervane.web.sharing.pairing import Pairing

HOME_PORT, SHARED_PORT = 8460, 8461
HOUSE = Reach(("bench.local", "bench"), ("192.168.7.5", "10.0.0.9"))
FIRST = f"https://{HOUSE.names[0]}:{SHARED_PORT}"
PHONE = "192.168.7.20"
BEGUN = datetime(2026, 3, 1, 9, tzinfo=UTC)


@dataclass
class House:
    """The two doors of one server, and a clock that is moved by hand."""

    folder: Path
    fake: FakePorts
    behind: str = ""
    late_s: float = 0.0
    share: Share = field(init=False)

    def __post_init__(self) -> None:
        self.share = Share(
            self.folder / "sharing",
            SHARED_PORT,
            self.behind,
            find=lambda: HOUSE,
            now=lambda: BEGUN + timedelta(seconds=self.late_s),
            pairing=Pairing(clock=lambda: self.late_s),
        )
        self.gate = Gate(HOME_PORT)
        self.shared_gate = SharedGate(self.share)
        ports = self.fake.ports()
        self.app = make_app(ports, self.gate, share=self.share)
        self.shared_app = make_app(ports, self.shared_gate, share=self.share)

    def at_home(self) -> TestClient:
        """The machine's own browser, let in."""
        address = f"http://127.0.0.1:{HOME_PORT}"
        browser = TestClient(self.app, address, follow_redirects=False)
        browser.get(self.gate.launch_address)
        browser.headers.update({"origin": address, "sec-fetch-site": "same-origin"})
        return browser

    def phone(self, peer: str = PHONE, address: str = FIRST) -> TestClient:
        """A device that nobody let in yet; it posts as our own forms do."""
        ours = {"origin": address, "sec-fetch-site": "same-origin"}
        app, told = self.shared_app, {"client": (peer, 50_000), "headers": ours}
        return TestClient(
            app, address, follow_redirects=False, raise_server_exceptions=False, **told
        )

    def code(self) -> str:
        """A code as the settings show it."""
        page = self.at_home().post("/devices/pair").text
        return re.search(r'class="code">([^<]+)<', page)[1]

    def paired(self, name: str = "Kitchen phone") -> TestClient:
        """A device that is let in."""
        phone = self.phone()
        answer = phone.post("/pair", data={"code": self.code(), "name": name})
        assert answer.status_code == 303
        return phone
