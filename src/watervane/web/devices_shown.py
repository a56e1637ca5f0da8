"""The paired devices as the settings show them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from fastapi import Request

from watervane.web.desk import Desk
from watervane.web.sharing.share import SharedGate
from watervane.wording import phrase
from watervane.wording.dates import weekday_date

# What a browser says of the machine it runs on, and what keepers call one.
CALLED = (("iPad", "tablet"), ("iPhone", "phone"), ("Tablet", "tablet"), ("Mobile", "phone"),
          ("Android", "tablet"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class DeviceShown:
    """One line."""

    id: str
    name: str
    times: str
    own: bool


@dataclass(frozen=True, slots=True)
class DevicesShown:
    """All of them; ``sharing`` says whether devices are served, ``pairs`` whether from here."""

    sharing: bool
    pairs: bool
    inside: bool
    addresses: tuple[str, ...]
    devices: tuple[DeviceShown, ...]
    vouched: bool


def devices_shown(desk: Desk, request: Request) -> DevicesShown:
    """What there is to tell to who asks."""
    share, gate = desk.share, desk.gate
    if share is None:
        return DevicesShown(False, False, True, (), (), False)
    own = None
    if isinstance(gate, SharedGate):
        own = share.devices.of(request.cookies.get(gate.cookie))
    zone = ZoneInfo(desk.ports.pages.time_zone())
    now = share.now().astimezone(zone)

    def told(moment: str) -> str:
        return weekday_date(datetime.fromisoformat(moment).astimezone(zone), beside=now)

    shown = tuple(
        DeviceShown(
            each.id,
            each.name,
            phrase("devices-times", paired=told(each.paired_at), seen=_seen(each.seen_at, zone),
                   day=told(each.seen_at)),
            own is not None and each.id == own.id,
        )
        for each in share.devices.all()
    )  # fmt: skip
    home = not isinstance(gate, SharedGate)
    vouched = share.authority is not None
    return DevicesShown(True, home, home or own is not None, share.addresses, shown, vouched)


def device_called(request: Request) -> str:
    """A name for a device that gave none."""
    agent = request.headers.get("user-agent", "")
    kind = next((kind for word, kind in CALLED if word in agent), "computer")
    return phrase(f"devices-called-{kind}")


def _seen(moment: str, zone: ZoneInfo) -> str:
    return f"{datetime.fromisoformat(moment).astimezone(zone):%H:%M}"
