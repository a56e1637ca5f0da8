"""A bare tank for newcomers or the sick: what it must carry, how, and for how long."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.records.doses import DosedAnimal
from watervane.records.findings import Finding
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class QuarantineWish:
    """What is asked.

    ``seeded_l`` is mature medium that is moved in; ``food_share`` is what is fed of what the
    animals need; ``treated`` tells that the water is treated with something that may hurt
    colonies. ``level_mg_n_per_l`` is the ammonia that is held. Where ``warmth_told`` is false
    the animals decide.
    """

    volume_l: float
    animals: tuple[DosedAnimal, ...]
    temperature_c: float = 25.0
    seeded_l: float = 0.0
    medium: str = "sponge"
    food_share: float = 0.5
    treated: bool = False
    ph: float | None = None
    level_mg_n_per_l: float = 0.5
    warmth_told: bool = True


@dataclass(frozen=True, slots=True)
class Carrying:
    """One way to hold ammonia down.

    ``way`` is ``changes``, ``seeded`` or ``treated``; ``left_mg_n_per_l_d`` is the rise that
    nothing takes up, ``share_per_d`` what to change each day for it, ``changed_l_per_d`` how much
    that is.
    """

    way: str
    left_mg_n_per_l_d: Span
    share_per_d: Span
    changed_l_per_d: Span


@dataclass(frozen=True, slots=True)
class ParasiteRound:
    """How long one round of a parasite's life takes here, and days that outlast two."""

    key: str
    scientific: str
    usual: bool
    round_d: Span
    watch_d: int


@dataclass(frozen=True, slots=True)
class QuarantinePlan:
    """The plan.

    Parameters
    ----------
    wish
        What was asked.
    mass_g
        Of the animals. [g]
    fasting_mg_n_per_l_d, fed_mg_n_per_l_d
        How fast ammonia rises, unfed and fed as asked. [mg N/(L d)]
    hours_to_level
        Until the level is there if nothing is done, fed. [h]
    ways
        To hold it.
    media_l
        Mature medium that would carry all of it, from a well fed tank or a lightly fed one. [L]
    bath_l
        Least water of a bath of half an hour, and of a dip of five minutes, in which the fasting
        animals stay under a tenth of the level. [L]
    free_ammonia_mg_n_per_l
        At the level and the pH told, the highest of both. [mg N/L]
    rounds
        Of the parasites.
    days
        That the quarantine lasts.
    findings
        Cautions.
    """

    wish: QuarantineWish
    mass_g: float
    fasting_mg_n_per_l_d: Span
    fed_mg_n_per_l_d: Span
    hours_to_level: Span
    ways: tuple[Carrying, ...]
    media_l: Span
    bath_l: tuple[float, float]
    rounds: tuple[ParasiteRound, ...]
    days: int
    free_ammonia_mg_n_per_l: float | None = None
    findings: tuple[Finding, ...] = ()
