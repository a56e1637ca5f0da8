"""Ways to start one tank, each as its members fared with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics, NumberQuantiles


@dataclass(frozen=True, slots=True)
class FirstDose:
    """The first dose, of one source of ammonia."""

    substance: str
    first_dose_g: float
    first_dose_ml: float | None  # of a solution
    strength: float  # mass fraction the amounts are for
    alkalinity_cost_dkh_per_mg_n_per_l: float


@dataclass(frozen=True, slots=True)
class DosePlan:
    """Ammonia for a tank without animals: amounts, and the rules the members were run by."""

    first: FirstDose
    other: FirstDose  # of the source that would do as well
    up_to_mg_n_per_l: float
    again_below_mg_n_per_l: float
    stop_above_mg_n_per_l: float  # of nitrite
    resume_below_mg_n_per_l: float  # of nitrite
    soda_below_dkh: float
    soda_g_per_dkh: float
    test_every_days: int
    doses: NumberQuantiles  # how many, until settled
    dosed_g: NumberQuantiles  # in all
    soda_g: NumberQuantiles  # in all
    paused: float  # chance of a pause for nitrite


@dataclass(frozen=True, slots=True)
class ChangePlan:
    """When water is changed for the animals' sake: the rule the members were run by."""

    change_from_ammonia_mg_n_per_l: float
    change_from_nitrite_mg_n_per_l: float
    share: float  # of the water
    large_share: float  # from twice the level on
    test_every_days: int


@dataclass(frozen=True, slots=True)
class SeedAmount:
    """One material that would bring as large a colony as any other of the list."""

    source: str  # media, bed, water
    kind: str
    volume_l: float


@dataclass(frozen=True, slots=True)
class WayDeed:
    """Something done on a date in the middle one of the futures; ``amount`` is in its kind's unit.

    ``dose`` and ``bottle`` are told in grams and doses, ``soda`` in grams, ``change`` as a share
    of the water, ``seed`` in litres, animals by their number.
    """

    at: datetime
    kind: str
    amount: float


@dataclass(frozen=True, slots=True)
class StartWay:
    """One way to start, over all members.

    Days are counted from the start; ``None`` is not within the horizon. ``animal_hours`` and
    ``harmed`` are by tier: hours of all animals together above a limit of ammonia or nitrite,
    and the chance that there are any. ``work`` is until settled.
    """

    key: str
    animals: int
    species: str | None
    settled_days: NumberQuantiles
    settled_within: float
    ready_days: NumberQuantiles
    ready_within: float
    animal_hours: Mapping[str, NumberQuantiles]
    mean_animal_hours: Mapping[str, float]
    harmed: Mapping[str, float]
    work_minutes: NumberQuantiles
    tasks: NumberQuantiles
    changed_l: NumberQuantiles
    cost: str  # little, some, much
    seed: SeedAmount | None = None
    dose_plan: DosePlan | None = None
    change_plan: ChangePlan | None = None
    middle: tuple[WayDeed, ...] = ()
    reasons: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Ways:
    """All ways open to a tank as it stood at a moment, the one to prefer first."""

    tank: str
    owner: str
    as_of: datetime
    begins: datetime
    horizon_days: int
    seed: int
    volume_l: float
    animals_in: int
    food_g_per_d: float
    food_assumed: bool
    ways: tuple[StartWay, ...]
    preferred: str
    reasons: tuple[Finding, ...]
    seeds: tuple[SeedAmount, ...]
    diagnostics: Diagnostics
