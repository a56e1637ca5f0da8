"""At which readings of waste a change could be asked for: steps of the keeper's own kit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from watervane.kits.sizes import RATIO_ION_TO_N
from watervane.limits import Limit, Water
from watervane.records import Kit

WASTE = ("ammonia", "nitrite")
PARTS = (0.15, 0.3, 0.6)  # of what harms; what each leaves of harm and work is found by running it
LEAST_MG_N_PER_L = 0.02  # no home kit tells less from none


def marks_to_read(
    limits: Iterable[Limit], water: Water, kits: Iterable[Kit]
) -> dict[str, tuple[float, ...]]:
    """Readings to act from, by quantity, lowest first. [mg N/L]

    Parameters
    ----------
    limits
        Of the animals present.
    water
        Of the members now: a level that moves with pH or chloride is that of the middle one.
    kits
        The keeper's. Where none reads a quantity in steps, a mark has one digit.
    """
    held, kits = tuple(limits), tuple(kits)
    found = {}
    for quantity in WASTE:
        level = _harmful(held, quantity, water)
        if level is None:
            continue
        steps = _steps(kits, quantity)
        marks = sorted({_snapped(part * level, steps) for part in PARTS})
        found[quantity] = tuple(mark for mark in marks if mark < level) or (marks[0],)
    return found


def _harmful(limits: Iterable[Limit], quantity: str, water: Water) -> float | None:
    """Total amount from which the strictest limit of acute harm is passed. [mg N/L]"""
    name = f"{quantity}_mg_n_per_l"
    total = water.value(name)
    if total is None:
        return None
    one = replace(water, **{name: np.ones_like(total)})  # each limit is passed in proportion
    ratios = [
        limit.ratio(one)
        for limit in limits
        if limit.tier == "acute" and limit.subject == quantity and limit.side == "above"
    ]
    levels = [float(np.median(1.0 / ratio)) for ratio in ratios if ratio is not None]
    return min(levels, default=None)


def _steps(kits: tuple[Kit, ...], quantity: str) -> tuple[float, ...]:
    """What the first kit that reads a quantity can show, in nitrogen. [mg N/L]"""
    for kit in kits:
        scale = kit.scale(quantity)
        if scale is not None and scale.steps:
            ratio = RATIO_ION_TO_N[quantity] if scale.basis == "ion" else 1.0
            return tuple(step / ratio for step in scale.steps if step > 0.0)
    return ()


def _snapped(level: float, steps: tuple[float, ...]) -> float:
    """The step at or under a level; the first one where all are over it."""
    if not steps:
        digits = 1 - int(np.floor(np.log10(max(level, LEAST_MG_N_PER_L))))
        return float(round(max(level, LEAST_MG_N_PER_L), max(digits - 1, 0)))
    return max((step for step in steps if step <= level), default=min(steps))


__all__ = ["marks_to_read"]
