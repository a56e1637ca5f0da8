"""Limits that are formulas altogether: the criteria for total ammonia and steps for nitrite."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from watervane.limits.ammonia import (
    FOUR_DAY_FACTOR,
    acute_criterion_epa2013,
    acute_criterion_trout_epa2013,
    chronic_criterion_epa2013,
    chronic_criterion_without_mussels_epa2013,
)
from watervane.limits.limit import Limit
from watervane.limits.nitrite import mean_nitrite_bc
from watervane.limits.water import Water

Array = NDArray[np.float64]
_Formula = Callable[[Array, Array], Array]
_WITH_SHELLS = ("secondary", "its most sensitive animals are mussels, in warm water")
_WITHOUT_SHELLS = ("from memory", "as for waters without mussels, young fish protected")
_MONTH_H, _FOUR_DAYS_H = 720.0, 96.0


def criteria_for(
    everyone: tuple[str, ...],
    strangers: tuple[str, ...],
    by_chloride: tuple[str, ...],
    *,
    shells: bool = True,
) -> Iterator[Limit]:
    """Criteria that hold for all, and those for animals nobody knows.

    Parameters
    ----------
    everyone : tuple of str
        All animals present.
    strangers : tuple of str
        Those no table knows: they may be as sensitive as trout.
    by_chloride : tuple of str
        Those chloride protects from nitrite, or that may be of that kind.
    shells : bool
        Whether mussels or snails are among them, or may be: they set the usual criteria. For
        fish alone that over weeks is another; at once it is not, since without mussels it lets
        waters pass that killed half of the guppies and zebra fish of a test.
    """
    chronic = chronic_criterion_epa2013 if shells else chronic_criterion_without_mussels_epa2013
    note = _WITH_SHELLS if shells else _WITHOUT_SHELLS
    yield _total(
        "total_ammonia_acute", "acute", 1.0, acute_criterion_epa2013, everyone, *_WITH_SHELLS
    )
    if strangers:
        key, formula = "total_ammonia_acute_trout", acute_criterion_trout_epa2013
        yield _total(key, "acute", 1.0, formula, strangers, *_WITH_SHELLS)
    yield _total("total_ammonia_chronic", "chronic", _MONTH_H, chronic, everyone, *note)
    yield _total(
        "total_ammonia_chronic_four_days",
        "chronic",
        _FOUR_DAYS_H,
        lambda ph, temperature: FOUR_DAY_FACTOR * chronic(ph, temperature),
        everyone,
        *note,
    )
    if by_chloride:
        yield Limit(
            key="nitrite_comfort",
            quantity="nitrite_mg_n_per_l",
            tier="comfort",
            side="above",
            exposure_hours=_MONTH_H,
            level=lambda water: mean_nitrite_bc(water.condition("chloride_mg_per_l")),
            source="bc_nitrite",
            where="table 2, mean of 30 days by chloride",
            quality="from memory",
            note="made for the most sensitive fish of rivers",
            animals=by_chloride,
        )


def _total(
    key: str,
    tier: str,
    hours: float,
    formula: _Formula,
    animals: tuple[str, ...],
    quality: str,
    note: str,
) -> Limit:
    def level(water: Water) -> Array:
        return formula(water.condition("ph"), water.condition("temperature_c"))

    return Limit(
        key=key,
        quantity="ammonia_mg_n_per_l",
        tier=tier,
        side="above",
        exposure_hours=hours,
        level=level,
        source="epa2013_ammonia",
        where="criteria by pH and temperature",
        quality=quality,
        note=note,
        animals=animals,
    )
