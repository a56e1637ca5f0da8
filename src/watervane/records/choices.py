"""Which animals of a wish list can share one tank, how many of each, and what stands in the way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from watervane.records.blueprint import BlueprintWish
from watervane.records.findings import Finding
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class AnimalWish:
    """One kind wished for, by its scientific name; without a count as many as do it justice.

    ``weight`` is how much it counts beside the others.
    """

    species: str
    count: int | None = None
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class SharedWater:
    """The water all are to share; ``None`` where nobody told."""

    tank_ph: Span | None = None
    gh_dgh: float | None = None
    kh_dkh: float | None = None
    nitrate_mg_n_per_l: float | None = None


@dataclass(frozen=True, slots=True)
class ChoiceWish:
    """A tank without animals, the animals wished for, and the work the keeper is willing to do.

    ``temperature_c`` left out leaves the temperature open; ``change_l_per_week`` left out is a
    quarter of the water.
    """

    plan: BlueprintWish
    animals: tuple[AnimalWish, ...]
    water: SharedWater
    change_l_per_week: float | None = None
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class PairReason:
    """Why two kinds cannot share a tank."""

    one: str
    other: str
    reason: Finding


@dataclass(frozen=True, slots=True)
class Chosen:
    """So many of one kind; ``most`` is what was wished for, or does it justice twice over."""

    species: str
    count: int
    least: int
    most: int
    length_cm: float
    food_g_per_d: float
    change_l_per_week: float


@dataclass(frozen=True, slots=True)
class Worth:
    """How far numbers meet a wish list, by its weights, each a share of it.

    ``there`` counts kinds that are there at all, ``met`` the numbers wished for, ``full`` as many
    as do each kind justice. What comes first counts first.
    """

    there: float
    met: float
    full: float


@dataclass(frozen=True, slots=True)
class OneMore:
    """What one more of a kind, or the least group of one left out, asks of one room."""

    species: str
    count: int
    asks: float
    lacking: float


@dataclass(frozen=True, slots=True)
class RoomUsed:
    """One room that all share: weekly change, filter, oxygen or floor; in its own unit.

    ``binds`` tells that without this limit the wishes would be met better; ``together`` names the
    rooms that only bind along with it. ``gain`` is what the best numbers without it have more of
    each; what comes later may be less.
    """

    room: str  # change, filter, oxygen, floor
    unit: str
    limit: float
    used: float
    binds: bool
    together: tuple[str, ...]
    gain: Worth
    one_more: tuple[OneMore, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A wish that is not met at all, and why."""

    species: str
    least: int
    reasons: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Help:
    """One change with which every wish left could be met with its least number."""

    key: str  # temperature, leave-out, tank, change, air, media, water, cooler, none
    arguments: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Choice:
    """The best numbers of each at the best temperature.

    ``whole`` tells that every wish is met with the number told, or its least group.
    """

    wish: ChoiceWish
    net_l: float
    length_cm: float
    floor_cm2: float
    temperature_c: float
    hottest_c: float
    change_l_per_week: float
    chosen: tuple[Chosen, ...]
    left_out: tuple[LeftOut, ...]
    pairs: tuple[PairReason, ...]
    rooms: tuple[RoomUsed, ...]
    worth: Worth
    whole: bool
    helps: tuple[Help, ...]
    findings: tuple[Finding, ...]
