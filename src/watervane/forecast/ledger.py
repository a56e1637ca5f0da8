"""Actions and states sorted into what came, what is held and what went; by member."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.process.booking import BookedDeed
from watervane.process.state import COLUMN, COMPONENTS, MATRIX
from watervane.records.ledger import CAME, HELD, WENT

Numbers = NDArray[np.float64]
Lines = dict[str, Numbers]
NITROGEN = MATRIX.content[:, 0]
POOLS: Mapping[str, tuple[str, ...]] = {
    "food-and-waste": ("food_nitrogen", "faeces_nitrogen", "carrion_nitrogen"),
    "ammonia": ("ammonia", "chloramine"),
    "nitrite": ("nitrite",),
    "nitrate": ("nitrate",),
    "colonies": tuple(c.name for c in MATRIX.components if c.phase == "colony"),
    "plants": ("plant_nitrogen", "algal_nitrogen"),
    "animals": ("gut_nitrogen", "animal_nitrogen"),
    "exchanger": ("zeolite_nitrogen",),
}
GASES = ("dinitrogen", "ammonia_gas")
WATER_POOLS = ("ammonia", "nitrite", "nitrate")


def nitrogen_in(amounts: Numbers, names: Iterable[str]) -> Numbers:
    """Nitrogen of some components, shape (members,). [mg N/L]"""
    columns = [COLUMN[name] for name in names if name in COLUMN]
    result: Numbers = NITROGEN[columns] @ amounts[columns]
    return result


def held(amounts: Numbers) -> Lines:
    """Nitrogen of each pool. [mg N/L]"""
    return {pool: nitrogen_in(amounts, POOLS[pool]) for pool in HELD}


def gone_as_gas(amounts: Numbers) -> Numbers:
    """Nitrogen that has left as gas since filling. [mg N/L]"""
    return nitrogen_in(amounts, GASES)


def of_deed(deed: BookedDeed) -> tuple[Lines, Lines]:
    """What one action brought, by `CAME`, and took, by `WENT`. [mg N/L]"""
    before, left, after = held(deed.before), held(deed.left), held(deed.after)
    nothing = np.zeros(deed.before.shape[1])
    went = dict.fromkeys(WENT, nothing)
    went["drained"] = sum((before[p] - left[p] for p in WATER_POOLS), nothing)
    # The dead that stay move from one pool to another; only what is carried out is gone.
    settled = left["food-and-waste"] - before["food-and-waste"]
    stayed = np.maximum(settled, 0.0)
    went["animals"] = before["animals"] - left["animals"] - stayed
    went["waste"] = stayed - settled
    for pool in ("colonies", "plants", "exchanger"):
        went[pool] = before[pool] - left[pool]
    went["gas"] = gone_as_gas(deed.left) - gone_as_gas(deed.before)
    came = dict.fromkeys(CAME, nothing)
    added = {pool: after[pool] - left[pool] for pool in HELD}
    fed = np.max(deed.row["food_mg_n_per_l"]) > 0.0
    meal = added["food-and-waste"] + nitrogen_in(deed.after - deed.left, ("gut_nitrogen",))
    came["food" if fed else "animals"] = meal
    came["animals"] = came["animals"] + nitrogen_in(deed.after - deed.left, ("animal_nitrogen",))
    came["seeded"] = added["colonies"] + added["plants"] + added["exchanger"]
    oxidised = added["nitrite"] + added["nitrate"]
    if _dosed(deed):
        came["dosed"] = added["ammonia"] + oxidised
    else:
        came["tap-nitrate"], came["tap-chloramine"] = oxidised, added["ammonia"]
    return came, went


def at_once(deed: BookedDeed, name: str) -> Numbers:
    """What one action brought of a dissolved component at once. [mg N/L]"""
    result: Numbers = np.maximum(deed.after[COLUMN[name]] - deed.left[COLUMN[name]], 0.0)
    return result


def filled(amounts: Numbers) -> Lines:
    """What the water brought that a tank was filled with, by `CAME`. [mg N/L]"""
    found = held(amounts)
    came = dict.fromkeys(CAME, np.zeros(amounts.shape[1]))
    came["tap-nitrate"] = found["nitrate"] + found["nitrite"]
    came["tap-chloramine"] = found["ammonia"]
    return came


def _dosed(deed: BookedDeed) -> bool:
    added = deed.row["add"]
    dissolved = any(np.any(added[COLUMN[name]]) for pool in WATER_POOLS for name in POOLS[pool])
    return dissolved or bool(np.max(deed.row["ammonia_target_mg_n_per_l"]) > 0.0)


def unbooked() -> tuple[str, ...]:
    """Components that hold nitrogen and stand in no pool: there must be none."""
    known = {name for names in (*POOLS.values(), GASES) for name in names}
    return tuple(n for n, c in zip(COMPONENTS, NITROGEN, strict=True) if c and n not in known)
