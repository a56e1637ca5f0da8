"""Waters by their ions: reports, waters to mix, targets and recipes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from watervane.records.findings import Finding
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class WaterReport:
    """A water as a utility's report or a keeper's own tests tell it; ``None`` where not told.

    Ions are counted as ions, nitrate and ammonia as nitrogen, disinfectants as chlorine.
    """

    name: str
    calcium_mg_per_l: float | None = None
    magnesium_mg_per_l: float | None = None
    sodium_mg_per_l: float | None = None
    potassium_mg_per_l: float | None = None
    chloride_mg_per_l: float | None = None
    sulfate_mg_per_l: float | None = None
    nitrate_mg_n_per_l: float | None = None
    ammonia_mg_n_per_l: float | None = None
    kh_dkh: float | None = None
    gh_dgh: float | None = None
    ph: float | None = None
    conductivity_us_per_cm: float | None = None
    chlorine_mg_per_l: float | None = None
    chloramine_mg_per_l: float | None = None


@dataclass(frozen=True, slots=True)
class IonWater:
    """A water whose ions are all known or worked out.

    ``ions`` are mmol/L by name, alkalinity under ``bicarbonate`` in meq/L. ``assumed`` names those
    that were worked out. ``imbalance`` is cations less anions over both.
    """

    name: str
    ions: Mapping[str, float]
    assumed: tuple[str, ...] = ()
    imbalance: float | None = None
    softened: bool = False
    chlorine_mg_per_l: float = 0.0
    chloramine_mg_per_l: float = 0.0
    disinfectant_told: bool = True
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class AiredWater:
    """A water after it has stood with air for a day."""

    ph: float
    kh_dkh: float
    gh_dgh: float
    sodium_mg_per_l: float
    potassium_mg_per_l: float
    chloride_mg_per_l: float
    sulfate_mg_per_l: float
    nitrate_mg_n_per_l: float
    conductivity_us_per_cm: float
    calcite_index: float  # above zero it may lay down lime, below it dissolves some


@dataclass(frozen=True, slots=True)
class PouredWater:
    """A water at hand for mixing: what a litre costs and how long it takes to have it ready."""

    water: IonWater
    price_per_l: float = 0.0
    minutes_per_l: float = 0.0
    minutes: float = 0.0  # each time any of it is used


@dataclass(frozen=True, slots=True)
class SaltAtHand:
    """A pure salt: what a kilogram costs and how long it takes to weigh."""

    salt: str
    price_per_kg: float = 5.0
    minutes: float = 2.0


@dataclass(frozen=True, slots=True)
class WaterTarget:
    """Ranges a water is to lie in, by quantity; an open side is infinite.

    Quantities: ``gh`` and ``kh`` in degrees, ``ph`` after airing, ``sodium``, ``potassium``,
    ``chloride``, ``sulfate``, ``calcium``, ``magnesium`` in mg/L, ``nitrate`` in mg N/L.
    """

    ranges: Mapping[str, tuple[float, float]]
    temperature_c: float = 25.0
    co2_ppm: float = 420.0
    altitude_m: float = 0.0
    batch_l: float = 10.0
    scale_g: float = 0.1
    price_per_hour: float = 6.0  # what an hour's fuss is worth to the keeper


@dataclass(frozen=True, slots=True)
class PartOfMix:
    """One water or salt of a batch, as worked out and as it can be measured."""

    name: str
    kind: str  # water, salt
    exact: float  # litres of a water, grams of a salt
    measured: float
    stock_g_per_l: float | None = None  # a solution to measure out where the scale is too coarse
    stock_ml: float | None = None


@dataclass(frozen=True, slots=True)
class BindingRange:
    """An end of a range that holds the cost up, and what a batch would save without it."""

    quantity: str
    side: str  # low, high
    level: float
    saving: float


@dataclass(frozen=True, slots=True)
class UnmetRange:
    """An end of a range that no mixture reaches, and how near the nearest comes."""

    quantity: str
    side: str
    level: float
    reached: float


@dataclass(frozen=True, slots=True)
class Conditioned:
    """What takes chlorine and chloramine out of a batch, and the ammonia that leaves behind."""

    chlorine_mg_per_l: float
    chloramine_mg_per_l: float
    assumed: bool
    thiosulfate_g: float  # sodium thiosulfate pentahydrate, for the whole batch
    ammonia_mg_n_per_l: float
    batch_l: float


@dataclass(frozen=True, slots=True)
class Recipe:
    """The cheapest and least laborious way into the ranges, for one batch.

    ``exact`` is the water as worked out, ``made`` as measured out; ``errors`` is how far measuring
    moves each quantity of the target, and ``doubt`` the most that half a step of the scale may.
    ``helps`` are waters and salts not at hand any one of which would bring all ranges within reach.
    """

    target: WaterTarget
    parts: tuple[PartOfMix, ...]
    price: float
    minutes: float
    cost: float  # price and minutes together
    exact: AiredWater
    made: AiredWater
    errors: Mapping[str, float]
    doubt: Mapping[str, Span]
    binding: tuple[BindingRange, ...]
    unmet: tuple[UnmetRange, ...]
    helps: tuple[str, ...]
    conditioned: Conditioned
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class SourcePlan:
    """A source water as it is, whom it suits, and how to change it where that is wanted."""

    report: WaterReport
    water: IonWater
    aired: AiredWater
    tank_ph: Span  # where animals breathe, up to that after airing
    suits: tuple[str, ...]
    suits_not: Mapping[str, tuple[str, ...]]  # by animal: what stands against it
    conditioned: Conditioned
    recipe: Recipe | None = None
    findings: tuple[Finding, ...] = field(default_factory=tuple)
