"""A quantity known only between two bounds."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """A closed interval; equal bounds mean an exact value.

    Both bounds share the unit of the field that holds the span.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high)):
            raise ValueError("span bounds must be finite")
        if self.low > self.high:
            raise ValueError("the lower bound of a span lies above the upper")

    @classmethod
    def exact(cls, value: float) -> Span:
        """The span of one exactly known value."""
        return cls(value, value)

    @property
    def centre(self) -> float:
        """Geometric middle of a positive span, arithmetic otherwise."""
        if self.low > 0:
            return math.sqrt(self.low * self.high)
        return 0.5 * (self.low + self.high)
