"""What growing a tank needs from outside, and what is asked of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Protocol

from watervane.records import (
    Challenge,
    Filling,
    Headroom,
    Tank,
    Wish,
)

Progress = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class HeadroomRequest:
    """What is asked of the headroom; without a species it is of animals like those present.

    ``allowed`` are chances by tier in place of those the tank's keeper accepts.
    """

    species: str | None = None
    length_cm: float | None = None
    allowed: Mapping[str, float] = field(default_factory=dict)
    as_of: date | datetime | None = None
    weeks_ahead: tuple[int, ...] = (0, 1, 2, 4, 8)
    members: int = 1000
    seed: int = 1
    threads: int = 2


@dataclass(frozen=True, slots=True)
class ChallengeRequest:
    """What is dosed; without an amount the program chooses it."""

    substance: str = "ammonium chloride"
    dose_mg_n_per_l: float | None = None
    as_of: date | datetime | None = None
    members: int = 1000
    seed: int = 1
    threads: int = 2


@dataclass(frozen=True, slots=True)
class FillRequest:
    """The wish list, and within what; ``allowed`` as in `HeadroomRequest`."""

    wishes: tuple[Wish, ...]
    quarantine_days: int = 28
    horizon_days: int = 182
    allowed: Mapping[str, float] = field(default_factory=dict)
    as_of: date | datetime | None = None
    members: int = 1000
    seed: int = 1
    threads: int = 2


class HeadroomFinder(Protocol):
    """Work out the headroom."""

    def __call__(
        self,
        tank: Tank,
        request: HeadroomRequest,
        as_of: datetime | None,
        progress: Progress | None,
    ) -> Headroom: ...


class Challenger(Protocol):
    """Plan a challenge test; raise ``BadInput`` where the tank cannot be challenged."""

    def __call__(
        self,
        tank: Tank,
        request: ChallengeRequest,
        as_of: datetime | None,
        progress: Progress | None,
    ) -> Challenge: ...


class Filler(Protocol):
    """Search the way to a full tank."""

    def __call__(
        self, tank: Tank, request: FillRequest, as_of: datetime | None, progress: Progress | None
    ) -> Filling: ...


@dataclass(frozen=True, slots=True)
class GrowingPorts:
    """The outside parts of growing."""

    headroom: HeadroomFinder
    challenge: Challenger
    fill: Filler
    headroom_document: Callable[[Headroom], Mapping[str, Any]]
    challenge_document: Callable[[Challenge], Mapping[str, Any]]
    filling_document: Callable[[Filling], Mapping[str, Any]]
