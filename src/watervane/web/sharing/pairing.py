"""Codes that let a device in: good once, for ten minutes, and not to be guessed."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

LIFE_S = 600.0
# Small letters and digits that nobody takes for one another: 12 of 31 are 59 bits.
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
LENGTH, GROUP = 12, 4
TRIES_OF_ONE, TRIES_OF_ALL, WINDOW_S = 6, 30, 60.0


@dataclass
class Pairing:
    """The code that is open now, if any; a new one ends the one before."""

    clock: Callable[[], float] = time.monotonic
    _digest: bytes | None = None
    _ends: float = 0.0
    _tries: deque[tuple[float, str]] = field(default_factory=deque)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def offer(self) -> str:
        """A new code, in groups as it is read and typed."""
        code = "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
        with self._lock:
            self._digest, self._ends = _digest_of(code), self.clock() + LIFE_S
        return "-".join(code[start : start + GROUP] for start in range(0, LENGTH, GROUP))

    def withdraw(self) -> None:
        """End the code that is open."""
        with self._lock:
            self._digest = None

    def may_try(self, who: str) -> bool:
        """Whether another try is let through; it counts as one."""
        with self._lock:
            now = self.clock()
            while self._tries and now - self._tries[0][0] > WINDOW_S:
                self._tries.popleft()
            own = sum(each == who for _, each in self._tries)
            if own >= TRIES_OF_ONE or len(self._tries) >= TRIES_OF_ALL:
                return False
            self._tries.append((now, who))
            return True

    def redeem(self, typed: str, who: str = "") -> bool:
        """Whether this is the open code; it is none afterwards, and ``who`` made no wrong try."""
        told = _digest_of("".join(each for each in typed.lower() if each in LETTERS))
        with self._lock:
            known = self._digest if self._digest is not None else _digest_of(secrets.token_hex())
            right = hmac.compare_digest(told, known)
            if not right or self._digest is None or self.clock() >= self._ends:
                return False
            self._digest = None
            self._tries = deque(each for each in self._tries if each[1] != who)
            return True


def _digest_of(code: str) -> bytes:
    return hashlib.sha256(code.encode()).digest()
