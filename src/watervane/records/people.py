"""Who asks."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Person:
    """The actor of a use case; the loopback user is ``local``."""

    name: str = "local"
