"""Figures as documents print them: shortened to what they tell, the same in all of them."""

from __future__ import annotations

from collections.abc import Mapping

from watervane.records import QUANTILE_KEYS, NumberQuantiles

DIGITS = 6


def short(value: float) -> float:
    """A number to `DIGITS` significant digits."""
    return float(f"{value:.{DIGITS}g}")


def rounded(told: Mapping[str, float]) -> dict[str, float]:
    """Numbers by name, to `DIGITS` places."""
    return {name: round(value, DIGITS) for name, value in told.items()}


def quantiles(told: NumberQuantiles) -> dict[str, float | None]:
    """Five quantiles by their keys, shortened; ``None`` where one does not exist."""
    values = {key: getattr(told, key) for key in QUANTILE_KEYS}
    return {key: None if v is None else short(v) for key, v in values.items()}
