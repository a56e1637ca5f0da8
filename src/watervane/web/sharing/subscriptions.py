"""Addresses under which calendars are read without a cookie: whoever has one may read one tank.

Kept in a small file beside the journal: of each secret only its digest, and what was handed out
last, so that changes can be numbered. Both doors of a server read the file anew each time.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from watervane.app.page_ports import CALENDARS
from watervane.web.sharing.files import own_folder, read_own, write_own

FORMAT = "watervane-calendars/1"
MOST_OF_A_TANK = 16
_LOCK = threading.Lock()


@dataclass(frozen=True, slots=True)
class Subscription:
    """One address; times are UTC, ``read_at`` is empty before it was read."""

    id: str
    tank: str
    digest: str
    made_at: str
    read_at: str = ""
    handed: str = ""


class Subscriptions:
    """Those of one journal."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / CALENDARS

    def of_tank(self, tank: str) -> tuple[Subscription, ...]:
        """Those of one tank, the oldest first."""
        with _LOCK:
            return tuple(each for each in self._read() if each.tank == tank)

    def add(self, tank: str, now: datetime) -> str | None:
        """Make one: its secret, which is told once and kept nowhere; ``None`` where full."""
        secret = secrets.token_urlsafe(32)
        made = Subscription(secrets.token_hex(8), tank, _digest(secret), _utc(now))
        with _LOCK:
            known = self._read()
            if sum(each.tank == tank for each in known) >= MOST_OF_A_TANK:
                return None
            self._keep([*known, made])
        return secret

    def of(self, secret: str) -> Subscription | None:
        """Which one a secret opens; as long to find out for each of them."""
        told = _digest(secret)
        with _LOCK:
            found = [each for each in self._read() if hmac.compare_digest(each.digest, told)]
        return found[0] if found else None

    def handed(self, known: Subscription, text: str, now: datetime) -> None:
        """Note what was handed out; nothing where it was revoked meanwhile."""
        with _LOCK:
            self._keep(
                [
                    replace(each, handed=text, read_at=_utc(now)) if each.id == known.id else each
                    for each in self._read()
                ]
            )

    def revoke(self, tank: str, told: str) -> bool:
        """Let an address of a tank open nothing more; whether there was one."""
        with _LOCK:
            known = self._read()
            left = [each for each in known if (each.tank, each.id) != (tank, told)]
            if len(left) < len(known):
                self._keep(left)
        return len(left) < len(known)

    def _keep(self, known: list[Subscription]) -> None:
        own_folder(self._path.parent)
        told = {"format": FORMAT, "calendars": [asdict(each) for each in known]}
        write_own(self._path, json.dumps(told, indent=1).encode())

    def _read(self) -> list[Subscription]:
        """What is in the file; one that cannot be read is laid aside, and opens nothing."""
        data = read_own(self._path)
        if data is None:
            return []
        try:
            return [Subscription(**each) for each in json.loads(data)["calendars"]]
        except (ValueError, TypeError, KeyError):
            self._path.replace(self._path.with_suffix(".unreadable"))
            return []


def _digest(secret: str) -> str:
    """Of 256 random bits: a slow hash would add nothing."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).replace(microsecond=0).isoformat()
