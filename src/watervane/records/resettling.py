"""Colonies that are moved: into a larger tank, another home, another filter, or lent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics
from watervane.records.rehearsals import Rehearsal
from watervane.records.spans import Span

MOVES = ("larger-tank", "house", "filter", "lend")
CARRIED = ("aired", "covered", "damp", "dry")


@dataclass(frozen=True, slots=True)
class ColonyMove:
    """What is moved, and how.

    Parameters
    ----------
    kind
        One of `MOVES`.
    carried
        How media travel, one of `CARRIED`: in tank water that is moved or aired, under still tank
        water, damp in the air, or dry.
    hours
        Out of running water. [h]
    warmth_c
        On the way. [degC]
    share
        Of the media: kept when a filter is replaced, given away when media are lent, else taken
        along.
    bed
        Whether the old bed goes along.
    old_water
        Share of the water that is taken along.
    volume_l
        Of the larger tank. [L]
    """

    kind: str
    carried: str = "covered"
    hours: float = 1.0
    warmth_c: float = 20.0
    share: float = 1.0
    bed: bool = True
    old_water: float = 0.0
    volume_l: float | None = None


@dataclass(frozen=True, slots=True)
class ResettledWay:
    """One way to do it: what is kept by habitat, and what comes of it.

    ``name`` is ``asked``, one of `CARRIED`, ``half-now`` or ``half-food``. ``kept`` maps
    ``filter``, ``bed`` and ``surface`` to the share of their colonies that goes on here.
    """

    name: str
    kept: Mapping[str, Span]
    rehearsal: Rehearsal


@dataclass(frozen=True, slots=True)
class Resettling:
    """A move worked out over the members of a tank, beside other ways to do it.

    ``lent`` is the share of a full-grown filter's colony that the media lent bring to another
    tank alive; ``steps`` are what to do on the day, in order.
    """

    tank: str
    owner: str
    as_of: datetime
    horizon_days: int
    move: ColonyMove
    ways: tuple[ResettledWay, ...]
    steps: tuple[Finding, ...]
    diagnostics: Diagnostics
    lent: Span | None = None

    @property
    def asked(self) -> ResettledWay:
        """As it was asked for."""
        return self.ways[0]
