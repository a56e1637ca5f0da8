"""Where every milligram of a tank's nitrogen came from, is, and went."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics, NumberQuantiles

# In the order they are told; a stretch names all of them, also those of nothing.
CAME = ("food", "dosed", "tap-nitrate", "tap-chloramine", "animals", "seeded")
HELD = (
    "food-and-waste",
    "ammonia",
    "nitrite",
    "nitrate",
    "colonies",
    "plants",
    "animals",
    "exchanger",
)
WENT = ("drained", "animals", "gas", "waste", "colonies", "plants", "exchanger")
STRETCHES = ("since-filling", "since", "last-week", "next-week")


@dataclass(frozen=True, slots=True)
class NitrogenAmount:
    """Nitrogen of one line; means add up, quantiles do not. [mg N]"""

    mean_mg_n: float
    spread_mg_n: NumberQuantiles


@dataclass(frozen=True, slots=True)
class LedgerStretch:
    """The books of one stretch of days.

    ``key`` is one of `STRETCHES`; ``since`` is since the day the members were run from, where
    the log before it is stood for by what it taught. ``began`` and ``held`` are what the tank
    held at its begin and its end, by `HELD`; ``came`` and ``went`` are by `CAME` and `WENT`.
    ``most_unaccounted`` is the largest share of its turnover that any member's books leave open.
    """

    key: str
    begins: datetime
    ends: datetime
    began: Mapping[str, NitrogenAmount]
    came: Mapping[str, NitrogenAmount]
    held: Mapping[str, NitrogenAmount]
    went: Mapping[str, NitrogenAmount]
    most_unaccounted: float


@dataclass(frozen=True, slots=True)
class NitrogenLedger:
    """A tank's nitrogen over its stretches of days; ``volume_l`` is of the full tank."""

    tank: str
    owner: str
    as_of: datetime
    seed: int
    volume_l: float
    stretches: tuple[LedgerStretch, ...]
    diagnostics: Diagnostics
    findings: tuple[Finding, ...] = ()

    def stretch(self, *keys: str) -> LedgerStretch | None:
        """The first stretch of one of some keys."""
        return next((one for key in keys for one in self.stretches if one.key == key), None)
