"""The cheapest and least laborious mixture of waters and salts within ranges: a mixed-integer plan.

Everything that mixing averages is linear in the shares, and what a salt brings is linear in its
mass. pH after airing is not, but it rises with alkalinity, so a range of pH is a range of
alkalinity; it is found by bisection and corrected by the ions of the mixture found. Each salt or
further water that is used at all costs its minutes once: a yes or no.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.salts import SALTS
from watervane.planning.waters.ions import (
    NOTICED,
    aired,
    ions_of_salt,
    measured,
    mixed,
)
from watervane.records import (
    BindingRange,
    PouredWater,
    SaltAtHand,
    UnmetRange,
    WaterTarget,
)

MOST_SALT_MMOL_PER_L = 20.0
LEAST_GAIN = 1e-6
CORRECTIONS = 8  # of the alkalinity that stands for a pH
PH_CLOSE = 0.002
_HALVINGS = 50
Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bound:
    """One end of a range, as a level of a linear quantity."""

    quantity: str  # as the keeper told it
    measure: str  # of `MEASURES`
    side: str  # low, high
    level: float
    told: float  # as the keeper told it: differs for pH


@dataclass(frozen=True, slots=True)
class Mixture:
    """Shares of the waters and salts in mmol/L, with what a batch of it costs."""

    shares: tuple[float, ...]
    salts_mmol_per_l: tuple[float, ...]
    price: float
    minutes: float
    cost: float


@dataclass(frozen=True, slots=True)
class Shelf:
    """Waters and salts to choose from."""

    waters: tuple[PouredWater, ...]
    salts: tuple[SaltAtHand, ...]

    def ions(self, mixture: Mixture) -> dict[str, float]:
        """Ions of a mixture. [mmol/L]"""
        waters = zip(self.waters, mixture.shares, strict=True)
        salts = zip(self.salts, mixture.salts_mmol_per_l, strict=True)
        return mixed(
            [(each.water.ions, share) for each, share in waters]
            + [(ions_of_salt(each.salt), amount) for each, amount in salts]
        )


def bounds_of(target: WaterTarget) -> list[Bound]:
    """Each finite end of each range, pH as alkalinity in plain bicarbonate water."""
    found = []
    for quantity, ends in target.ranges.items():
        for side, level in zip(("low", "high"), ends, strict=True):
            if not isfinite(level):
                continue
            if quantity == "ph":
                found.append(Bound("ph", "kh", side, kh_of_ph(level, target), level))
            else:
                found.append(Bound(quantity, quantity, side, level, level))
    return found


def kh_of_ph(ph: float, target: WaterTarget) -> float:
    """KH at which plain bicarbonate water, at rest with the air, has a pH. [dKH]

    Parameters
    ----------
    ph
        [-]
    target
        With temperature and air.
    """
    low, high = 1e-4, 60.0
    for _ in range(_HALVINGS):
        middle = (low * high) ** 0.5
        alkalinity = middle * 0.35665
        ions = {"bicarbonate": alkalinity, "calcium": 0.5 * alkalinity}
        reached = aired(ions, target.temperature_c, target.co2_ppm, target.altitude_m).ph
        low, high = (middle, high) if reached < ph else (low, middle)
    return float((low * high) ** 0.5)


@dataclass(frozen=True, slots=True)
class _Problem:
    """Arrays of the plan: waters, salts, then one yes-or-no for each of them."""

    shelf: Shelf
    target: WaterTarget
    matrix: Numbers  # bounds x (waters + salts)
    cost: Numbers  # per batch, of each variable
    price: Numbers
    minutes: Numbers
    most: Numbers

    @property
    def width(self) -> int:
        return len(self.shelf.waters) + len(self.shelf.salts)


def _problem(shelf: Shelf, target: WaterTarget, bounds: Sequence[Bound]) -> _Problem:
    columns = [each.water.ions for each in shelf.waters]
    columns += [ions_of_salt(each.salt) for each in shelf.salts]
    matrix = np.array([[measured(b.measure, ions) for ions in columns] for b in bounds])
    batch = target.batch_l
    price = [each.price_per_l * batch for each in shelf.waters]
    grams = [1e-3 * SALTS[each.salt].molar_mass_g * batch for each in shelf.salts]
    price += [1e-3 * g * each.price_per_kg for g, each in zip(grams, shelf.salts, strict=True)]
    running = [each.minutes_per_l * batch for each in shelf.waters] + [0.0] * len(shelf.salts)
    once = [each.minutes for each in shelf.waters] + [each.minutes for each in shelf.salts]
    most = [1.0] * len(shelf.waters) + [MOST_SALT_MMOL_PER_L] * len(shelf.salts)
    prices = np.array([*price, *[0.0] * len(once)])
    minutes = np.array([*running, *once])
    return _Problem(
        shelf,
        target,
        matrix.reshape(len(bounds), len(columns)),
        prices + minutes * target.price_per_hour / 60.0,
        prices,
        minutes,
        np.array(most),
    )


def cheapest(
    shelf: Shelf, target: WaterTarget, bounds: Sequence[Bound], slack: Sequence[float] | None = None
) -> Mixture | None:
    """The mixture of least cost within bounds, or none.

    Parameters
    ----------
    shelf
        What is at hand.
    target
        Batch and what an hour is worth.
    bounds
        Ends of ranges.
    slack
        By how much each bound may be passed, in its own unit.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to import

    told = _problem(shelf, target, bounds)
    width = told.width
    allowed = np.zeros(len(bounds)) if slack is None else np.asarray(slack)
    levels = np.array([b.level for b in bounds])
    low = np.array([b.side == "low" for b in bounds], dtype=bool)
    lows, highs = np.where(low, levels - allowed, -inf), np.where(low, inf, levels + allowed)
    whole = np.zeros(2 * width)
    whole[: len(shelf.waters)] = 1.0
    most = _most(told, highs)
    used = np.hstack([np.eye(width), -np.diag(most)])
    constraints = [LinearConstraint(whole, 1.0, 1.0), LinearConstraint(used, -inf, 0.0)]
    if bounds:
        wide = np.hstack([told.matrix, np.zeros_like(told.matrix)])
        constraints.append(LinearConstraint(wide, lows, highs))
    found = milp(
        told.cost,
        constraints=constraints,
        integrality=np.array([0] * width + [1] * width),
        bounds=Bounds(0.0, np.array([*most, *[1.0] * width])),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        return None
    return _mixture(told, np.asarray(found.x))


def _most(told: _Problem, highs: Numbers) -> Numbers:
    """The most of each part that the upper ends alone allow: nothing takes ions out again."""
    most = told.most.copy()
    for row, high in zip(told.matrix, highs, strict=True):
        brings = row > 0.0
        room = np.full_like(most, inf)
        room[brings] = max(high, 0.0) / row[brings]
        most = np.minimum(most, room * (1.0 + 1e-9) + 1e-12)
    return most


def _mixture(told: _Problem, x: Numbers) -> Mixture:
    waters = len(told.shelf.waters)
    yes = np.round(x[told.width :])
    amounts = np.where(yes > 0.5, np.maximum(x[: told.width], 0.0), 0.0)
    amounts[:waters] /= amounts[:waters].sum()
    clean = np.concatenate([amounts, (amounts > 0.0).astype(np.float64)])
    return Mixture(
        tuple(amounts[:waters].tolist()),
        tuple(amounts[waters:].tolist()),
        float(told.price @ clean),
        float(told.minutes @ clean),
        float(told.cost @ clean),
    )


def nearest_slack(shelf: Shelf, target: WaterTarget, bounds: Sequence[Bound]) -> list[float]:
    """By how much each bound has to give so that a mixture exists, least in all.

    Each is counted in differences a keeper would notice.
    """
    from scipy.optimize import linprog  # noqa: PLC0415 - slow to import

    told = _problem(shelf, target, bounds)
    width, count = told.width, len(bounds)
    noticed = np.array([NOTICED[b.measure] for b in bounds])
    signs = np.array([-1.0 if b.side == "low" else 1.0 for b in bounds])
    rows = np.hstack([signs[:, None] * told.matrix, -np.diag(noticed)])
    levels = signs * np.array([b.level for b in bounds])
    whole = np.zeros((1, width + count))
    whole[0, : len(shelf.waters)] = 1.0
    found = linprog(
        np.array([0.0] * width + [1.0] * count),
        A_ub=rows,
        b_ub=levels,
        A_eq=whole,
        b_eq=[1.0],
        bounds=[*((0.0, most) for most in told.most), *((0.0, None),) * count],
    )
    give: list[float] = (np.asarray(found.x)[width:] * noticed).tolist()
    return give


@dataclass(frozen=True, slots=True)
class Blend:
    """A mixture with the bounds it was found under."""

    mixture: Mixture
    bounds: tuple[Bound, ...]
    slack: tuple[float, ...]
    unmet: tuple[UnmetRange, ...]


def blend(shelf: Shelf, target: WaterTarget) -> Blend:
    """Find the mixture; where none lies in every range, the one that misses by least.

    Parameters
    ----------
    shelf
        What is at hand; at least one water.
    target
        Ranges, batch and air.
    """
    bounds = bounds_of(target)
    found = _corrected(shelf, target, bounds)
    if found is not None:
        return Blend(found[0], tuple(found[1]), (0.0,) * len(bounds), ())
    give = nearest_slack(shelf, target, bounds)
    mixture = cheapest(shelf, target, bounds, [each + 1e-7 for each in give])
    if mixture is None:
        raise ArithmeticError("no mixture even with every range given up")
    ions = shelf.ions(mixture)
    air = aired(ions, target.temperature_c, target.co2_ppm, target.altitude_m)
    unmet = [
        UnmetRange(b.quantity, b.side, b.told, air.ph if b.quantity == "ph" else reached)
        for b, slack in zip(bounds, give, strict=True)
        if slack > 1e-6 * NOTICED[b.measure]
        for reached in (measured(b.measure, ions),)
    ]
    return Blend(mixture, tuple(bounds), tuple(give), tuple(unmet))


def _corrected(
    shelf: Shelf, target: WaterTarget, bounds: list[Bound]
) -> tuple[Mixture, list[Bound]] | None:
    """The cheapest mixture, its alkalinity bounds moved until its own pH keeps to the range."""
    for _ in range(CORRECTIONS):
        mixture = cheapest(shelf, target, bounds)
        if mixture is None:
            return None
        moved = [_moved(b, shelf.ions(mixture), target) for b in bounds]
        if moved == bounds:
            return mixture, bounds
        bounds = moved
    return None


def _moved(bound: Bound, ions: dict[str, float], target: WaterTarget) -> Bound:
    """A bound of pH put where water with these ions has that pH.

    Only where the pH is passed, or where the bound stands in the way short of it.
    """
    if bound.quantity != "ph":
        return bound
    ph = aired(ions, target.temperature_c, target.co2_ppm, target.altitude_m).ph
    sign = -1.0 if bound.side == "high" else 1.0
    over = sign * (bound.told - ph)
    at_bound = abs(measured(bound.measure, ions) - bound.level) < 1e-6 * (1.0 + bound.level)
    if over <= 0.0 and not (at_bound and over < -PH_CLOSE):
        return bound
    factor = 10.0 ** (sign * (over + 0.25 * PH_CLOSE))
    return Bound(bound.quantity, bound.measure, bound.side, bound.level * factor, bound.told)


def binding_of(shelf: Shelf, target: WaterTarget, found: Blend) -> tuple[BindingRange, ...]:
    """Ends of ranges without which a batch would cost less, each with what it would save."""
    binding = []
    for index, bound in enumerate(found.bounds):
        fewer = [b for i, b in enumerate(found.bounds) if i != index]
        slack = [s + 1e-7 for i, s in enumerate(found.slack) if i != index] if found.unmet else None
        without = cheapest(shelf, target, fewer, slack)
        if without is not None and without.cost < found.mixture.cost - LEAST_GAIN:
            saving = found.mixture.cost - without.cost
            binding.append(BindingRange(bound.quantity, bound.side, bound.told, saving))
    return tuple(sorted(binding, key=lambda each: -each.saving))


def helps_of(shelf: Shelf, target: WaterTarget, more: Shelf) -> tuple[str, ...]:
    """Waters and salts of another shelf any one of which would bring every range within reach."""
    helpful = []
    for water in more.waters:
        wider = Shelf((*shelf.waters, water), shelf.salts)
        if cheapest(wider, target, bounds_of(target)) is not None:
            helpful.append(water.water.name)
    at_hand = {each.salt for each in shelf.salts}
    for salt in more.salts:
        wider = Shelf(shelf.waters, (*shelf.salts, salt))
        if salt.salt not in at_hand and cheapest(wider, target, bounds_of(target)) is not None:
            helpful.append(salt.salt)
    return tuple(helpful)
