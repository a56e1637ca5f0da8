"""Does the test named as most telling narrow the date of settled more than another one?

Tanks are drawn from the prior and read with a coarse kit until a day. Members are other draws,
weighed by those readings. Then the test chosen and one chosen by lot are both read off the tank
itself, and the 80 % range of the settled date is looked at again: the mean over all that its kit
could show of that tank's own water.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from evidence.simulated_tanks import HORIZON_DAYS, blank_tank
from watervane.advice.choosing import choose, range_days
from watervane.advice.information import Information
from watervane.advice.questions import dated
from watervane.engine.daily import daily_readings, days_of
from watervane.engine.kit_chances import Witnesses, chances_by_member
from watervane.engine.showable import showable
from watervane.forecast.milestones import SettledLevels, settled_days
from watervane.inference.priors import prior_members, prior_whitened
from watervane.process.run import initial_state, simulate
from watervane.process.timeline import timeline
from watervane.records import Reading

Numbers = NDArray[np.float64]
DAYS_AHEAD = 10
LEAST_EFFECTIVE = 40.0
READ_BACK_D = (0, 4)  # few readings, so that weighed draws of the prior do
NEAR_D = 1.5  # of the true date
_SEED = 11


@dataclass(frozen=True)
class Narrowed:
    """What became of the 80 % range of the settled date, one number a tank.

    Parameters
    ----------
    before_days
        Before a further test. [d]
    chosen_days, lot_days, same_evening_days
        After the test chosen, after one drawn by lot, and after another quantity drawn by lot
        on the evening of the chosen one. [d]
    foreseen_days
        As was expected of the chosen one. [d]
    chosen_bits, lot_bits
        By how much the chance of the true date rose, in powers of two. [bit]
    """

    before_days: Numbers
    chosen_days: Numbers
    lot_days: Numbers
    same_evening_days: Numbers
    foreseen_days: Numbers
    chosen_bits: Numbers
    lot_bits: Numbers


@dataclass(frozen=True)
class _Drawn:
    """Tanks of the prior: when they settle, and what kits show of them."""

    settled_d: Numbers
    spared: NDArray[np.bool_]
    read: list[Numbers]
    tests: list[Numbers]
    moments_d: list[float]


def narrowed(tanks: int, members: int, *, until: int = 16, seeded: bool = True) -> Narrowed:
    """Choose, read and look again, for some tanks.

    Parameters
    ----------
    tanks
        To be looked for.
    members
        Draws of the prior that are weighed, besides the tanks themselves.
    until
        Day of the last reading before.
    seeded
        Whether the tanks were.
    """
    drawn = _drawn(tanks + members, until, seeded=seeded)
    rng = np.random.default_rng(5)
    found = [one for k in range(tanks) if (one := _one(drawn, k, tanks, rng)) is not None]
    return Narrowed(*np.array(found).T)


def _one(
    drawn: _Drawn, k: int, tanks: int, rng: np.random.Generator
) -> tuple[float, float, float, float, float, float, float] | None:
    log = np.zeros(len(drawn.settled_d) - tanks)
    for chances in drawn.read:
        log += np.log(chances[_shown(chances, k, rng), tanks:])
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    effective = float(1.0 / (weights**2).sum())
    if effective < LEAST_EFFECTIVE:
        return None
    # Members of one weight, as forecasts have them; drawn evenly, so that few are lost.
    places = (np.arange(len(weights)) + rng.random()) / len(weights)
    kept = tanks + np.minimum(np.searchsorted(np.cumsum(weights), places), len(weights) - 1)
    dates, spared = drawn.settled_d[kept], drawn.spared[kept]
    answers = dated(dates, spared, effective)
    information = Information([each[:, kept] for each in drawn.tests], answers, effective)
    best = choose(drawn.moments_d, information, 1).best
    lot = int(rng.integers(len(drawn.tests)))
    evening = [i for i, at in enumerate(drawn.moments_d) if at == drawn.moments_d[best]]
    beside = int(rng.choice([i for i in evening if i != best]))
    true = drawn.settled_d[k]
    near = np.abs(dates - true) <= NEAR_D if np.isfinite(true) else np.isinf(dates)

    def after(test: int) -> tuple[float, float]:
        chances, given = drawn.tests[test][:, k], drawn.tests[test][:, kept]
        ranges = np.array([_range(dates, told, spared) for told in given])
        share = (given[:, near].sum(axis=1) + 1e-3) / (given.sum(axis=1) + 1e-3)
        rise = np.log2(share / (near.mean() + 1e-3))
        return float(chances @ ranges), float(chances @ rise)

    chosen, by_lot = after(best), after(lot)
    each = drawn.tests[best][:, kept]
    foreseen = sum(row.mean() * _range(dates, row, spared) for row in each)
    before = _range(dates, np.ones(len(kept)), spared)
    return before, chosen[0], by_lot[0], after(beside)[0], float(foreseen), chosen[1], by_lot[1]


def _range(dates: Numbers, weights: Numbers, spared: NDArray[np.bool_]) -> float:
    return range_days(dates[~spared], weights[~spared], float(HORIZON_DAYS))


def _shown(chances: Numbers, k: int, rng: np.random.Generator) -> int:
    """What a kit shows of one tank."""
    return int(rng.choice(len(chances), p=chances[:, k] / chances[:, k].sum()))


def _drawn(count: int, until: int, *, seeded: bool) -> _Drawn:
    tank = blank_tank(seeded=seeded, until=until)
    line = timeline(tank, HORIZON_DAYS + 1)
    calendar = line.calendar
    on = {tank.readings[-1].at - timedelta(days=back) for back in READ_BACK_D}
    read = [r for r in tank.readings if r.quantity in ("ammonia", "nitrite") and r.at in on]
    first = {r.quantity: r for r in tank.readings}.values()
    tests = [
        replace(r, at=tank.readings[-1].at + timedelta(days=day))
        for r in first
        for day in range(1, DAYS_AHEAD + 1)
    ]
    members = prior_members(tank, np.arange(count), _SEED)
    days = days_of(line, HORIZON_DAYS)
    stops = sorted({*map(float, days.read_d), *(calendar.days(r.at) for r in (*read, *tests))})
    start = initial_state(line, members)
    course = simulate(line, members, start, (0, HORIZON_DAYS), stops_d=stops, threads=1)

    def stop_of(reading: Reading) -> int:
        return int(np.abs(course.stops_d - calendar.days(reading.at)).argmin())

    def unknown(name: str) -> Numbers:
        return np.asarray(prior_whitened((name,), members.numbers, _SEED)[0])

    witnesses = Witnesses(course, stop_of, members.source, unknown)
    shown = [showable(tank, r) for r in (*read, *tests)]
    chances = [c[:-1] for c in chances_by_member(tank, (), shown, witnesses)]
    found = settled_days(daily_readings(course, days), SettledLevels())
    return _Drawn(
        days.reading_d(found.day),
        found.not_needed,
        chances[: len(read)],
        chances[len(read) :],
        [calendar.days(r.at) for r in tests],
    )
