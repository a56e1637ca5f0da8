"""A dose by its label: what is asked, and the sheet that answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from watervane.records.findings import Finding
from watervane.records.own_animals import OwnAnimal
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class LabelRate:
    """So much for so much water; ``unit`` is mL, g or drops."""

    amount: float
    unit: str
    per_l: float
    raw: str

    @property
    def rate(self) -> float:
        """Units a litre."""
        return self.amount / self.per_l


@dataclass(frozen=True, slots=True)
class DosedAnimal:
    """Animals that the dose reaches."""

    species: str
    count: int = 1
    length_cm: float | None = None


@dataclass(frozen=True, slots=True)
class LoggedDose:
    """What a tank's log tells of a substance.

    ``at`` is its last dose and ``changed_since`` the share of the water changed after it;
    ``salt_g_per_l`` is what is left of all doses of plain salt, of nothing else told.
    """

    at: datetime
    changed_since: float
    salt_g_per_l: float | None = None


@dataclass(frozen=True, slots=True)
class DoseWish:
    """What is asked of a dose.

    ``removed`` are changes of water since the last full dose; ``changes`` is the fraction changed
    before each repeat. What is not told of the water is ``None``. ``sure`` answers what is asked
    about a dose well over what is usual. ``own_animals`` are the rows of the tank's keeper,
    ``logged`` what its log tells.
    """

    substance: str
    rate: LabelRate
    volume_l: float
    most: LabelRate | None = None
    animals: tuple[DosedAnimal, ...] = ()
    removed: tuple[float, ...] = ()
    times: int = 1
    every_days: float = 1.0
    changes: float = 0.0
    half_life_h: float | None = None
    bath: bool = False
    ph: float | None = None
    kh_dkh: float | None = None
    temperature_c: float | None = None
    ammonia_mg_n_per_l: float | None = None
    chloramine_mg_per_l: float | None = None
    findings: tuple[Finding, ...] = ()
    sure: bool = False
    own_animals: tuple[OwnAnimal, ...] = ()
    logged: LoggedDose | None = None


@dataclass(frozen=True, slots=True)
class DoseDay:
    """One dose of a course; levels are in full doses."""

    day: float
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class HospitalLoad:
    """What fasting animals put into a bath or hospital tank, and what carries it away."""

    rise_mg_n_per_l_d: Span
    hours_to_level: Span
    share_per_d: Span
    level_mg_n_per_l: float


@dataclass(frozen=True, slots=True)
class DoseSheet:
    """How much to dose and what to know of it.

    ``amount`` is for the whole volume, ``top_up`` what brings the level back after the changes
    told; both in ``unit``. ``brings`` is what a pure substance adds to the water by quantity.
    ``kept_share`` is what is expected to be left of the colonies.
    """

    wish: DoseWish
    kind: str
    unit: str
    amount: float
    removed_share: float
    top_up: float
    course: tuple[DoseDay, ...] = ()
    endless: float | None = None
    drops: Span | None = None
    brings: Mapping[str, float] = field(default_factory=dict)
    kept_share: Span | None = None
    hospital: HospitalLoad | None = None
    findings: tuple[Finding, ...] = ()
