"""The routine with the least work that keeps one tank's water in bounds, and the way back to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.allowed_risk import AllowedRisk
from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics, NumberQuantiles
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class Routine:
    """So much water, so often, and what is topped off with between (``tap`` or ``pure``).

    ``minutes_per_month`` is the work of one person with buckets, topping off counted. ``food`` is
    the daily food, times what is planned.
    """

    share: float
    every_days: int
    top_off: str
    litres: float = 0.0
    minutes_per_month: float = 0.0
    food: float = 1.0


@dataclass(frozen=True, slots=True)
class BoundRisk:
    """Chance that a bound is passed within the worst four weeks.

    ``late`` is of the weeks after the first twelve, when the tank has come to its routine,
    ``early`` of those twelve. ``limit`` is the key of the limit that leads there, with the
    ``animals`` it stands for. ``out_of_reach`` tells that no routine that was run keeps it.
    """

    tier: str
    subject: str
    limit: str
    side: str
    level: float
    animals: tuple[str, ...]
    early: float
    late: float
    allowed: float
    kept: bool
    out_of_reach: bool = False


@dataclass(frozen=True, slots=True)
class RoutineTried:
    """A routine as the members fared with it over a year.

    ``kind`` is ``candidate``, ``practice`` or ``as-planned``; ``keeps`` tells that every bound is
    kept that any routine keeps, ``worst`` is the one that is nearest to being passed, or farthest
    beyond.
    """

    routine: Routine
    kind: str
    keeps: bool
    worst: BoundRisk | None


@dataclass(frozen=True, slots=True)
class SteadyLevel:
    """Where a quantity comes to rest just before each change: by closed form, and as run.

    ``gain`` is what a day adds (KH: takes), as the members had it; ``source`` is of the tap.
    """

    quantity: str
    gain: NumberQuantiles
    source: float
    closed: NumberQuantiles
    run: NumberQuantiles
    bound: float | None


@dataclass(frozen=True, slots=True)
class Neglect:
    """What happens if less is done than the routine asks for.

    ``kind`` is ``half-share`` or ``every-second``. ``first_week`` is the first in which a bound
    is passed more often than is accepted, ``None`` where that does not come within the year.
    """

    kind: str
    keeps: bool
    worst: BoundRisk | None
    first_week: int | None


@dataclass(frozen=True, slots=True)
class Heat:
    """Three warm months beside the others."""

    first_month: int
    room_rise_k: float
    evaporated_l_per_week: float
    evaporated_warm_l_per_week: float
    highest_c: NumberQuantiles
    bound: BoundRisk | None  # of temperature, where one is passed more often than is accepted


@dataclass(frozen=True, slots=True)
class CleaningPortion:
    """One way to clean: the chance that it brings ammonia or nitrite over a limit.

    ``regrown_days`` is when the colony is nearly what it would be without, in 19 of 20 members.
    """

    part: str  # filter, bed, both
    portion: float
    harm: float
    kept: bool
    regrown_days: int | None


@dataclass(frozen=True, slots=True)
class TestWorth:
    """In how many days a reading of now tells no longer whether a bound is kept.

    ``None``: within the year no reading would change what is done.
    """

    quantity: str
    days: int | None


@dataclass(frozen=True, slots=True)
class FoodLevel:
    """One amount of daily food, what it brings, and the least work found with it.

    By stoichiometry, were all of its nitrogen to become nitrate: ``kh_spent_dkh_per_month``, and
    ``closed_share``, which were to be changed every four weeks; ``None`` where no share were
    enough. ``least`` is the cheapest routine that was run with it and kept all bounds.
    """

    times: float
    food_g_per_d: float
    nitrogen_mg_n_per_l_d: float
    kh_spent_dkh_per_month: float
    closed_share: float | None
    least: Routine | None


@dataclass(frozen=True, slots=True)
class FoodSearch:
    """The daily food that is planned, what the animals need, and every amount that was searched.

    ``need_g_per_d`` is by the tables, from an idle to a lively animal that holds its weight;
    ``None`` where nobody is in, or nobody knows who. ``planned_g_per_d`` is as it is told,
    ``given_times`` what the readings make of it, times what is told. ``held_by`` tells why no less
    was searched: ``need``, ``below-need``, ``no-need-known`` or ``half``.
    """

    planned_g_per_d: float
    given_times: NumberQuantiles
    need_g_per_d: Span | None
    held_by: str
    levels: tuple[FoodLevel, ...]


@dataclass(frozen=True, slots=True)
class ReturnStep:
    """One day's change on the way back, and the water after it.

    ``water`` is ``tap``, or ``soft``: a blend of which ``tap_share`` is tap water, the rest pure.
    ``held_by`` is what a larger change would have passed: ``kh``, ``ph``, ``conductivity`` or
    ``ammonia``. ``free_ammonia_mg_n_per_l`` is the most in 19 of 20 members.
    """

    day: int
    share: float
    litres: float
    water: str
    tap_share: float
    held_by: str
    kh_dkh: NumberQuantiles
    ph: NumberQuantiles
    ammonia_mg_n_per_l: NumberQuantiles
    free_ammonia_mg_n_per_l: float
    conductivity_us_per_cm: NumberQuantiles
    nitrate_mg_n_per_l: NumberQuantiles


@dataclass(frozen=True, slots=True)
class ReturnPlan:
    """The way back of a tank that drifted far from its tap.

    ``reasons`` are what a usual change would pass today. ``careless`` is what a half changed at
    once would do: times the limit of a step, by the same keys. ``harm`` and ``harm_without`` are
    the chances of passing an acute limit of ammonia on these days, with the steps and without,
    as run in full. ``tap_days`` is how long it would take without pure water, ``None`` where that
    does not get there.
    """

    reasons: tuple[str, ...]
    usual_share: float
    steps: tuple[ReturnStep, ...]
    reached: bool
    careless: Mapping[str, float]
    harm: float
    harm_without: float
    tap_days: int | None
    limits: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class GentleStart:
    """Small changes a day that come before the routine, where water holds hardly any buffering.

    ``begin_kh_dkh`` is what it holds now, ``enough_kh_dkh`` where the routine may begin,
    ``gentle_days`` how long that takes; ``None`` where tap water alone does not get there.
    """

    share: float
    litres: float
    begin_kh_dkh: float
    enough_kh_dkh: float
    gentle_days: int | None


@dataclass(frozen=True, slots=True)
class CareSchedule:
    """What to do for a tank in the next year, and why no less.

    ``chosen`` is ``None`` where no routine that was run keeps what another keeps. ``gentle`` comes
    before it where there is no way back and yet a change as large would be too much today.
    """

    tank: str
    owner: str
    as_of: datetime
    seed: int
    allowed: AllowedRisk
    volume_l: float
    animals_in: int
    chosen: RoutineTried | None
    practice: RoutineTried
    as_planned: RoutineTried | None
    tried: tuple[RoutineTried, ...]
    bounds: tuple[BoundRisk, ...]  # of the chosen routine
    steady: tuple[SteadyLevel, ...]
    food: FoodSearch
    neglect: tuple[Neglect, ...]
    heat: Heat
    cleaning: tuple[CleaningPortion, ...]
    tests: tuple[TestWorth, ...]
    returning: ReturnPlan | None
    findings: tuple[Finding, ...]
    diagnostics: Diagnostics
    gentle: GentleStart | None = None
