"""Who is paired: kept in a small file beside the journal, of each cookie only its digest."""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from watervane.web.sharing.files import own_folder, read_own, write_own

FILE = "devices.json"
FORMAT = "watervane-devices/1"
MOST_DEVICES, LONGEST_NAME = 64, 60
SEEN_AGAIN = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Device:
    """A browser that may come in; times are UTC."""

    id: str
    name: str
    digest: str
    paired_at: str
    seen_at: str
    renewed_at: str


class Devices:
    """Those of one journal."""

    def __init__(self, folder: Path) -> None:
        self._path = own_folder(folder) / FILE
        self._lock = threading.Lock()
        self._known = {each.id: each for each in self._read()}

    def all(self) -> tuple[Device, ...]:
        """All that are paired, the one seen last first."""
        with self._lock:
            return tuple(sorted(self._known.values(), key=lambda each: each.seen_at, reverse=True))

    @property
    def full(self) -> bool:
        """Whether there are as many as there may be."""
        with self._lock:
            return len(self._known) >= MOST_DEVICES

    def add(self, name: str, now: datetime) -> str:
        """Pair a new device: its cookie, which is told once and kept nowhere."""
        cookie, told = secrets.token_urlsafe(32), _utc(now)
        plain = " ".join("".join(c if c.isprintable() else " " for c in name).split())
        device = Device(
            secrets.token_hex(8), plain[:LONGEST_NAME], _digest(cookie), told, told, told
        )
        with self._lock:
            self._keep({**self._known, device.id: device})
        return cookie

    def of(self, cookie: str | None) -> Device | None:
        """Whose cookie this is; as long to find out for each of them."""
        told = _digest(cookie or "")
        with self._lock:
            found = [each for each in self._known.values()
                     if hmac.compare_digest(each.digest, told)]  # fmt: skip
        return found[0] if found and cookie else None

    def seen(self, device: Device, now: datetime) -> None:
        """Note that it was there; once a minute is often enough."""
        with self._lock:
            known = self._known.get(device.id)
            if known is not None and now - _moment(known.seen_at) >= SEEN_AGAIN:
                self._keep({**self._known, device.id: replace(known, seen_at=_utc(now))})

    def renewed(self, device: Device, now: datetime) -> None:
        """Note that its cookie was set anew, to last from now on."""
        with self._lock:
            known = self._known.get(device.id)
            if known is not None:
                self._keep({**self._known, device.id: replace(known, renewed_at=_utc(now))})

    def revoke(self, told: str) -> Device | None:
        """Let a device in no more."""
        with self._lock:
            found = self._known.get(told)
            if found is not None:
                self._keep({key: each for key, each in self._known.items() if key != told})
        return found

    def _keep(self, known: dict[str, Device]) -> None:
        devices = [asdict(each) for each in known.values()]
        told = json.dumps({"format": FORMAT, "devices": devices}, indent=1)
        write_own(self._path, told.encode())
        self._known = known

    def _read(self) -> list[Device]:
        """What is in the file; one that cannot be read is laid aside, and lets nobody in."""
        data = read_own(self._path)
        if data is None:
            return []
        try:
            found = [Device(**each) for each in json.loads(data)["devices"]]
            for each in found:
                _moment(each.seen_at)
        except (ValueError, TypeError, KeyError):
            self._path.replace(self._path.with_suffix(".unreadable"))
            return []
        return found


def _digest(cookie: str) -> str:
    """Of 256 random bits: a slow hash would add nothing."""
    return hashlib.sha256(cookie.encode()).hexdigest()


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).replace(microsecond=0).isoformat()


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)
