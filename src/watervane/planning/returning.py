"""From a water that drifted far from the tap back to it, in small changes that harm nobody.

In old water ammonium sleeps: while pH is low hardly any of it is free. So where a change with tap
water would free too much of it, water as soft as the tank's own comes first, which thins ammonium
and lifts nothing; then tap water, as much as the gentlest of the step limits allows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.conductivity import conductivity_us_per_cm_25
from watervane.chemistry.dissolved_carbon import co2_mg_per_l, ph_from_alkalinity_and_co2
from watervane.chemistry.mixing import Water, change_water, mix
from watervane.limits import Limit
from watervane.limits import Water as Judged
from watervane.units.conversions import CHLORINE, MEQ_PER_L_PER_DKH, NITROGEN

Numbers = NDArray[np.float64]
KH_RISE_DKH = 1.0  # a day: common practice, no source
CONDUCTIVITY_SHARE = 0.15  # of itself, a day: house estimate, guess, 0.1 to 0.25
MOST_SHARE = 0.5  # of the water at once, however harmless
MOST_DAYS = 180
SURE = 0.05  # share of members that may pass a step limit; none may pass that of ammonia
# Shares that can be measured out; the least are a cup for each hundred litres.
_SMALL = (0.001, 0.002, 0.003, 0.005, 0.0075, 0.01, 0.015, 0.02, 0.025, 0.03, 0.04, 0.05, 0.06)
SHARES = np.array((*_SMALL, 0.08, 0.1, 0.12, 0.15, 0.18, 0.2, 0.25, 0.3, 0.35, 0.4, MOST_SHARE))
CLEARLY_LESS = 0.9
LEAST_CO2_MG_PER_L = 0.05
OVER_TAP = 1.2  # times its nitrate: nearer than that no change comes
SOFT, TAP = "soft", "tap"
DRIFTS, OF_AMMONIA = ("kh", "ph", "conductivity"), ("ammonia", "lasting")


@dataclass(frozen=True)
class StepLimits:
    """What a day's change may move.

    Parameters
    ----------
    kh_rise_dkh
        [dKH]
    ph_change
        Either way. [-]
    conductivity_share
        Of the conductivity there is, either way. [-]
    ammonia
        Limits of ammonia. Those of acute harm no member may pass, the others nearly none.
    nitrate_mg_n_per_l
        What a tank that is back is under. [mg N/L]
    """

    kh_rise_dkh: float = KH_RISE_DKH
    ph_change: float = 0.5
    conductivity_share: float = CONDUCTIVITY_SHARE
    ammonia: tuple[Limit, ...] = ()
    nitrate_mg_n_per_l: float = np.inf


@dataclass(frozen=True)
class Daily:
    """What a day without a change does to each member's water, arrays or numbers."""

    ammonia_mg_n_per_l: Numbers | float = 0.0
    alkalinity_meq_per_l: Numbers | float = 0.0
    nitrate_mg_n_per_l: Numbers | float = 0.0


@dataclass(frozen=True)
class Moved:
    """What one change does, over members: shares by (shares, members), each against its limit.

    Parameters
    ----------
    after
        The water once its carbon dioxide is again what it was before.
    highest_ph
        Right after the change, or once it has come to rest.
    ratios
        By ``kh``, ``ph``, ``conductivity``, ``ammonia`` and ``lasting``, of ammonia that harms in
        time: above 1 the limit is passed. Where ammonia is over its limit already, above 1 is
        worse than it was.
    """

    after: Water
    highest_ph: Numbers
    ratios: dict[str, Numbers]


@dataclass(frozen=True)
class PlannedStep:
    """One day's change: its share, what water, what held it back, what was before and after."""

    share: float
    water: str
    tap_share: float
    held_by: str
    before: Water
    moved: Moved


@dataclass(frozen=True)
class WayBack:
    """All steps in order; ``reached`` tells whether the usual change harms nobody at their end."""

    steps: tuple[PlannedStep, ...]
    reached: bool
    end: Water

    @property
    def days(self) -> int:
        """One change a day."""
        return len(self.steps)


def pure_water(like: Water) -> Water:
    """Distilled or reverse-osmosis water of the tank's warmth: nothing is dissolved in it."""
    nothing = 0.0 * np.asarray(like.alkalinity_meq_per_l)
    return Water(like.temperature_c, nothing, nothing + 0.015)


def conductivity_of(water: Water) -> Numbers:
    """Conductivity at 25 degC, by the ions there are. [uS/cm]"""
    alkalinity = np.asarray(water.alkalinity_meq_per_l)
    ions = {
        "calcium": water.calcium_mmol_per_l,
        "magnesium": water.magnesium_mmol_per_l,
        "sodium": water.sodium_mmol_per_l,
        "chloride": np.asarray(water.chloride_mg_per_l) / CHLORINE,
        "bicarbonate": np.maximum(alkalinity, 0.0),
        "hydrogen": np.maximum(-alkalinity, 0.0),
        "ammonium": np.asarray(water.ammonia_mg_n_per_l) / NITROGEN,
        "nitrite": np.asarray(water.nitrite_mg_n_per_l) / NITROGEN,
        "nitrate": np.asarray(water.nitrate_mg_n_per_l) / NITROGEN,
    }
    return np.asarray(conductivity_us_per_cm_25(ions), dtype=np.float64)


def moved_by(tank: Water, new: Water, share: Numbers | float, limits: StepLimits) -> Moved:
    """What a change does to each member, held against the limits of a step.

    Parameters
    ----------
    tank, new
        Before the change, and what is poured; over members.
    share
        Of the water; a column of shares gives results by (shares, members). [-]
    limits
        Of a step.

    Notes
    -----
    A tank's carbon dioxide is set by breath and air, so it comes back to what it was; until then
    the new water's counts. pH is looked at both ways, and the higher one decides for ammonia.
    """
    before = np.asarray(tank.ph)
    co2 = np.maximum(_co2(tank, before), LEAST_CO2_MG_PER_L)
    mixed = change_water(tank, new, share)
    at_once = np.asarray(mixed.ph)
    rested = np.asarray(
        ph_from_alkalinity_and_co2(
            mixed.alkalinity_meq_per_l,
            co2,
            mixed.temperature_c,
            mixed.ionic_strength_mol_per_l,
            mixed.ammonia_mg_n_per_l,
            mixed.calcium_mmol_per_l + mixed.magnesium_mmol_per_l,
        )
    )
    highest, lowest = np.maximum(at_once, rested), np.minimum(at_once, rested)
    risen = mixed.alkalinity_meq_per_l - np.asarray(tank.alkalinity_meq_per_l)
    was = conductivity_of(tank)
    ratios = {
        "kh": risen / MEQ_PER_L_PER_DKH / limits.kh_rise_dkh,
        "ph": np.maximum(highest - before, before - lowest) / limits.ph_change,
        "conductivity": np.abs(conductivity_of(mixed) / was - 1.0) / limits.conductivity_share,
    }
    for name, lasting in (("ammonia", False), ("lasting", True)):
        asked = [each for each in limits.ammonia if (each.tier != "acute") is lasting]
        was_gone, gone = _strictest(tank, before, asked), _strictest(mixed, highest, asked)
        ratios[name] = gone / np.maximum(was_gone, 1.0)
    return Moved(mixed.with_ph(rested), highest, ratios)


def way_back(
    tank: Water,
    tap: Water,
    limits: StepLimits,
    usual_share: float,
    daily: Daily | None = None,
    *,
    soft: bool = True,
) -> WayBack:
    """The fewest days of one change each, until the usual change harms nobody.

    Parameters
    ----------
    tank, tap
        As they are, over members.
    limits
        Of a step, and of the end.
    usual_share
        Of the change that is to be harmless in the end. [-]
    daily
        What each day brings besides.
    soft
        Whether there is pure water to blend; without it no more can be done than small changes.

    Notes
    -----
    Searched are all numbers of days with soft water before the first with tap water; of each kind
    the largest change that passes no limit is made. Days with soft water keep KH where it is.
    """
    daily = daily or Daily()
    best = _tap_days(tank, tap, limits, usual_share, daily, MOST_DAYS)
    # Where ammonia held back no step, thinning it first saves nothing.
    if not soft or not any(step.held_by in OF_AMMONIA for step in best.steps):
        return best
    before: list[PlannedStep] = []
    now = tank
    for step in _soft_days(tank, tap, limits, daily):
        before.append(step)
        if best.reached and len(before) > best.days:
            break
        now = _next_day(step.moved.after, daily)
        rest = _tap_days(now, tap, limits, usual_share, daily, MOST_DAYS - len(before))
        way = WayBack((*before, *rest.steps), rest.reached, rest.end)
        if _better(way, best):
            best = way
    return best


def harmless(tank: Water, tap: Water, limits: StepLimits, share: float) -> bool:
    """Whether a change with tap water passes no limit of a step."""
    return bool(_passes(moved_by(tank, tap, share, limits))[0])


def drifted(tank: Water, tap: Water, limits: StepLimits, share: float) -> tuple[str, ...]:
    """What the usual change would pass today, and ``nitrate`` where that is over its bound.

    Ammonia alone is no drift: it has another cause, and other help.
    """
    moved = moved_by(tank, tap, share, limits)
    found = [name for name in DRIFTS if np.mean(moved.ratios[name] > 1.0 + 1e-9) > SURE]
    if found:
        found += [name for name in OF_AMMONIA if np.mean(moved.ratios[name] > 1.0 + 1e-9) > SURE]
    if _too_much_nitrate(tank, tap, limits):
        found.append("nitrate")
    return tuple(found)


def _better(way: WayBack, best: WayBack) -> bool:
    """Fewer days; of as many, the one with clearly less free ammonia on its way."""
    if way.reached != best.reached:
        return way.reached
    if not way.reached or way.days != best.days:
        return way.reached and way.days < best.days
    return _most_ammonia(way) < CLEARLY_LESS * _most_ammonia(best)


def _most_ammonia(way: WayBack) -> float:
    return max((float(np.max(step.moved.ratios["lasting"])) for step in way.steps), default=0.0)


def _tap_days(
    tank: Water, tap: Water, limits: StepLimits, usual_share: float, daily: Daily, most: int
) -> WayBack:
    steps: list[PlannedStep] = []
    while len(steps) < most:
        if not drifted(tank, tap, limits, usual_share):
            return WayBack(tuple(steps), True, tank)
        step = _largest(tank, tap, limits, TAP, 1.0)
        if step is None:
            break
        steps.append(step)
        tank = _next_day(step.moved.after, daily)
    return WayBack(tuple(steps), False, tank)


def _soft_days(tank: Water, tap: Water, limits: StepLimits, daily: Daily) -> Iterator[PlannedStep]:
    """Changes with water blended to the tank's own KH, which thin ammonium and lift no pH."""
    for _ in range(MOST_DAYS):
        share = tap_share_for(tank, tap)
        blend = mix((tap, pure_water(tank)), (share, 1.0 - share))
        step = _largest(tank, blend, limits, SOFT, share)
        if step is None:
            return
        yield step
        tank = _next_day(step.moved.after, daily)


def tap_share_for(tank: Water, tap: Water) -> float:
    """Share of tap water in a blend with pure water that is as soft as the tank; whole percents."""
    has = float(np.median(tank.alkalinity_meq_per_l))
    wanted = has / max(float(np.median(tap.alkalinity_meq_per_l)), 1e-9)
    return float(np.floor(100.0 * np.clip(wanted, 0.0, 1.0)) / 100.0)


def _largest(
    tank: Water, new: Water, limits: StepLimits, water: str, tap_share: float
) -> PlannedStep | None:
    tried = moved_by(_column(tank), _column(new), SHARES[:, None], limits)
    passes = _passes(tried)
    upto = int(np.argmin(passes)) if not passes.all() else len(passes)
    if not upto:
        return None
    held_by = "" if upto == len(passes) else _held_by(tried, upto)
    share = float(SHARES[upto - 1])
    moved = moved_by(tank, new, share, limits)
    return PlannedStep(share, water, tap_share, held_by, tank, moved)


def _column(water: Water) -> Water:
    return Water(*(np.atleast_1d(np.asarray(each, dtype=np.float64))[None, :] for each in water))


def _passes(moved: Moved) -> NDArray[np.bool_]:
    """Whether each share passes no limit: in nearly all members, ammonia in every one."""
    result = np.atleast_1d(np.asarray(True))
    for name, ratio in moved.ratios.items():
        over = np.atleast_2d(ratio) > 1.0 + 1e-9
        allowed = 0.0 if name == "ammonia" else SURE
        result = result & (over.mean(axis=-1) <= allowed)
    return result


def _held_by(moved: Moved, place: int) -> str:
    """The limit that the next larger share passes."""
    over = {
        name: float((np.atleast_2d(ratio)[place] > 1.0 + 1e-9).mean())
        for name, ratio in moved.ratios.items()
    }
    if over["ammonia"] > 0.0:
        return "ammonia"
    return max(over, key=lambda name: over[name])


def _too_much_nitrate(tank: Water, tap: Water, limits: StepLimits) -> bool:
    """In half of the members, and more than a little over what the tap brings."""
    nitrate, source = np.asarray(tank.nitrate_mg_n_per_l), np.asarray(tap.nitrate_mg_n_per_l)
    held = np.maximum(limits.nitrate_mg_n_per_l, OVER_TAP * source)
    return float(np.mean(nitrate > held)) > 0.5


def _next_day(water: Water, daily: Daily) -> Water:
    """A day later, at the same carbon dioxide."""
    ph = np.asarray(water.ph)
    co2 = np.maximum(_co2(water, ph), LEAST_CO2_MG_PER_L)
    later = _with_a_day(water, daily)
    rested = ph_from_alkalinity_and_co2(
        later.alkalinity_meq_per_l,
        co2,
        later.temperature_c,
        later.ionic_strength_mol_per_l,
        later.ammonia_mg_n_per_l,
        later.calcium_mmol_per_l + later.magnesium_mmol_per_l,
    )
    return later.with_ph(rested)


def _with_a_day(water: Water, daily: Daily) -> Water:
    """The water with what a day adds; never less than nothing of ammonia and nitrate."""
    return water._replace(
        ammonia_mg_n_per_l=np.maximum(water.ammonia_mg_n_per_l + daily.ammonia_mg_n_per_l, 0.0),
        alkalinity_meq_per_l=water.alkalinity_meq_per_l + daily.alkalinity_meq_per_l,
        nitrate_mg_n_per_l=np.maximum(water.nitrate_mg_n_per_l + daily.nitrate_mg_n_per_l, 0.0),
    )


def _co2(water: Water, ph: Numbers) -> Numbers:
    return np.asarray(
        co2_mg_per_l(
            ph,
            water.alkalinity_meq_per_l,
            water.temperature_c,
            water.ionic_strength_mol_per_l,
            water.ammonia_mg_n_per_l,
            calcium_mmol_per_l=water.calcium_mmol_per_l + water.magnesium_mmol_per_l,
        )
    )


def _strictest(water: Water, ph: Numbers, limits: Sequence[Limit]) -> Numbers:
    """How far the strictest of some limits is gone to; above 1 it is passed."""
    judged = Judged(
        ph=ph,
        temperature_c=water.temperature_c,
        chloride_mg_per_l=water.chloride_mg_per_l,
        ammonia_mg_n_per_l=water.ammonia_mg_n_per_l,
    )
    farthest = np.zeros(np.shape(ph))
    for limit in limits:
        ratio = limit.ratio(judged)
        if ratio is not None:
            farthest = np.maximum(farthest, ratio)
    return farthest
