"""A limit: a level of one quantity, whom passing it harms and how fast, and who says so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from watervane.limits.water import Array, Water

# Kept apart everywhere: a chance of one is never added to a chance of another.
TIERS = ("acute", "chronic", "comfort")
SIDES = ("above", "below")
# Quantities judged together: of these rules the one that is stricter in a member's water counts.
SUBJECTS: Mapping[str, str] = {
    "ammonia_mg_n_per_l": "ammonia",
    "free_ammonia_mg_n_per_l": "ammonia",
    "nitrite_mg_n_per_l": "nitrite",
    "nitrate_mg_n_per_l": "nitrate",
    "co2_mg_per_l": "co2",
    "oxygen_mg_per_l": "oxygen",
    "chlorine_mg_per_l": "chlorine",
    "alkalinity_meq_per_l": "alkalinity",
    "gh_dgh": "hardness",
    "ph": "ph",
    "ph_change": "ph_change",
    "temperature_c": "temperature",
    "temperature_change_k": "temperature_change",
}
# Smaller amounts count as this one, and larger ratios as that one, so that means stay finite.
_NOTHING, _BEYOND_MEASURE = 1e-9, 1e6
_SPAN_OF_DOUBLING = {"temperature_c": 10.0, "ph": 1.0}


@dataclass(frozen=True, slots=True)
class Limit:
    """A level, on which side of it harm lies, for whom, over what time and on whose word.

    ``level`` gives the level in a water, in the unit the quantity's name carries. ``side`` is
    where harm lies. ``animals`` are those present, as their keeper names them, that it stands
    for; none where it holds for all. ``edited`` tells that the keeper put the figure in place.
    """

    key: str
    quantity: str
    tier: str
    side: str
    exposure_hours: float
    level: Callable[[Water], Array]
    source: str
    where: str
    quality: str
    note: str = ""
    group: str = "all"
    animals: tuple[str, ...] = ()
    edited: bool = False

    @property
    def subject(self) -> str:
        """What the limit is about; rules of one subject are judged together."""
        return SUBJECTS[self.quantity]

    @property
    def varies(self) -> bool:
        """Whether the level moves with the water."""
        return not isinstance(self.level, Constant)

    def ratio(self, water: Water) -> Array | None:
        """How far the water goes: above 1 the limit is passed; ``None`` where nothing is told.

        Of an amount it is the value over its level, or the level over the value where too little
        harms. pH and temperature have no natural zero: one unit of pH, or ten kelvin, beyond
        the level doubles the ratio.
        """
        value = water.value(self.quantity)
        return None if value is None else self._ratio(value, self.level(water))

    def highest_ratio(self, water: Water) -> float | None:
        """The highest ratio there is; ``None`` where only all of them together would tell.

        It is known at once where the level is the same in every water.
        """
        value = water.value(self.quantity)
        if value is None or not isinstance(self.level, Constant):
            return None
        farthest = value.max() if self.side == "above" else value.min()
        return float(self._ratio(np.asarray(farthest), self.level(water)))

    def _ratio(self, value: Array, level: Array) -> Array:
        span = _SPAN_OF_DOUBLING.get(self.quantity)
        if span is not None:
            beyond = value - level if self.side == "above" else level - value
            return np.asarray(np.exp2(beyond / span))
        over, under = (value, level) if self.side == "above" else (level, value)
        return np.asarray(np.minimum(over / np.maximum(under, _NOTHING), _BEYOND_MEASURE))

    def arguments(self, water: Water) -> Mapping[str, object]:
        """What a sentence about the limit is filled with; the level is the middle member's."""
        return {
            "limit": self.key,
            "quantity": self.quantity,
            "level": float(np.median(self.level(water))),
            "tier": self.tier,
            "side": self.side,
            "hours": self.exposure_hours,
            "group": self.group,
            "animals": self.animals,
            "source": self.source,
            "where": self.where,
            "quality": self.quality,
            "edited": self.edited,
        }


@dataclass(frozen=True, slots=True)
class Constant:
    """A level that is the same in every water."""

    value: float

    def __call__(self, _: Water) -> Array:
        return np.asarray(self.value, dtype=np.float64)
