"""A tank that does not exist yet: what is done when, what is bought, what it costs to keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from watervane.records.filling import Wish


@dataclass(frozen=True, slots=True)
class DayRange:
    """A day counted from the filling, and how early and late it may be.

    With ``open_end`` the late one was not waited for: it is ``late`` or later.
    """

    early: float
    usual: float
    late: float
    open_end: bool = False


@dataclass(frozen=True, slots=True)
class StartDays:
    """How long a start takes, counted from its first day.

    ``own`` tells that this very tank was run; else it is the prior's answer for the tank of the
    shipped table, moved to the temperature. ``share_within`` is the chance of being settled within
    ``horizon_days``.
    """

    way: str
    own: bool
    temperature_c: float
    settled: DayRange
    ready: DayRange
    share_within: float
    horizon_days: int


@dataclass(frozen=True, slots=True)
class PlanStep:
    """Something to do, or to see, with its days.

    ``origin`` is what the days rest on: ``sums``, ``own run``, ``prior`` or ``practice`` (common
    practice, no source).
    """

    key: str
    days: DayRange
    origin: str
    arguments: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class PlanBatch:
    """Animals that join together; none named means a share of those to come."""

    days: DayRange
    animals: tuple[Wish, ...]
    food_g_per_d: float
    food_share: float  # of the whole daily food, once they are in


@dataclass(frozen=True, slots=True)
class Timeline:
    """From the empty glass to a full tank; days count from the filling."""

    filled: date | None
    start: StartDays
    steps: tuple[PlanStep, ...]
    meanwhile: tuple[PlanStep, ...]  # what is normal and harmless
    batches: tuple[PlanBatch, ...]


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of the shopping list."""

    key: str
    amount: float
    unit: str  # pieces, bags, L, W, g, L/h
    arguments: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Upkeep:
    """What a month of the running tank takes: a month is a twelfth of a year.

    ``weekly_change_l`` keeps nitrate at its level just before a change; ``None`` where the source
    water alone is above it. Costs are at the keeper's own prices, and of what has one.
    """

    nitrate_mg_n_per_d: float
    plants_mg_n_per_d: float
    nitrate_held_mg_n_per_l: float
    nitrate_of_source_mg_n_per_l: float
    weekly_change_l: float | None
    water_l_per_month: float
    evaporated_l_per_month: float
    conditioner_first_g: float
    conditioner_g_per_month: float
    disinfectant_assumed: bool
    salts_first_g: Mapping[str, float]
    salts_g_per_month: Mapping[str, float]
    food_g_per_month: float
    heater_kwh_per_month: float
    heater_kwh_coldest_month: float
    machines_kwh_per_month: float
    cost_per_month: float | None
    cost_coldest_month: float | None
    water_cost_per_month: float | None = None
    conditioner_cost_per_month: float | None = None
    salt_cost_per_month: float | None = None
    food_cost_per_month: float | None = None

    @property
    def costs_told(self) -> tuple[float, ...]:
        """What has a price, each for a month."""
        told = (
            self.cost_per_month,
            self.water_cost_per_month,
            self.conditioner_cost_per_month,
            self.salt_cost_per_month,
            self.food_cost_per_month,
        )
        return tuple(each for each in told if each is not None)
