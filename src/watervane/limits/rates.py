"""How fast water may change: the gentlest rate that any of those present asks for."""

from __future__ import annotations

from collections.abc import Iterable

from watervane.limits.limit import Constant, Limit


def allowed_change(limits: Iterable[Limit], quantity: str, tier: str = "comfort") -> float | None:
    """The most a quantity may change within an hour; ``None`` where no limit tells.

    Parameters
    ----------
    limits : iterable of Limit
        Of the animals present.
    quantity : str
        ``temperature_change_k`` or ``ph_change``.
    tier : str
        Under which tier's limits the change is to stay.
    """
    levels = [
        limit.level.value
        for limit in limits
        if limit.quantity == quantity and limit.tier == tier and isinstance(limit.level, Constant)
    ]
    return min(levels, default=None)
